/** Why what waits is not sent, or why nothing more can be. */
export type Trouble = 'no signal' | 'signed out' | 'not yours' | 'closed' | null;

/** How the sending stands. */
export interface Sending {
  unsent: number;
  trouble: Trouble;
  /** Whether this browser keeps what is tapped. */
  keeps: boolean;
}

/** What is always to be seen: how much is not sent, and why. Pure. */
export function sentWords({ unsent, trouble, keeps }: Sending, heard: string): { words: string; tone: 'plain' | 'caution' | 'danger' } {
  const waiting = `${unsent} not sent`;
  if (trouble === 'closed') return { words: 'This walk is closed. This phone keeps nothing of its roll any more.', tone: 'caution' };
  if (trouble === 'not yours')
    return { words: 'You do not lead this walk any more. This phone keeps nothing of its roll.', tone: 'danger' };
  if (trouble === 'signed out') return { words: `You are signed out: ${waiting}. What was tapped stays on this phone.`, tone: 'danger' };
  if (!keeps) return { words: `This phone keeps nothing: keep the signal, or use paper. ${waiting}.`, tone: 'danger' };
  if (trouble === 'no signal') return { words: `No signal: ${unsent === 0 ? 'nothing waits' : `${waiting} yet`}`, tone: 'caution' };
  return unsent === 0 ? { words: `All sent, ${heard}`, tone: 'plain' } : { words: `${waiting} yet`, tone: 'plain' };
}
