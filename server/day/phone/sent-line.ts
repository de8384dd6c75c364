import { button, el } from './dom.js';
import type { LiveRoll } from './live.js';

const SIGN_IN = (walk: number) => `/sign-in?next=${encodeURIComponent(`/lead/walks/${walk}/roll`)}`;

/** What is always to be seen: how much is not sent, and why. Pure. */
export function sentWords(
  { unsent, trouble, keeps }: Pick<LiveRoll, 'unsent' | 'trouble' | 'keeps'>,
  heard: string,
): { words: string; tone: 'plain' | 'caution' | 'danger' } {
  const waiting = `${unsent} not sent`;
  if (trouble === 'closed') return { words: 'This walk is closed. This phone keeps nothing of its roll any more.', tone: 'caution' };
  if (trouble === 'not yours') return { words: 'You do not lead this walk any more. This phone keeps nothing of its roll.', tone: 'danger' };
  if (trouble === 'signed out') return { words: `You are signed out: ${waiting}. What was tapped stays on this phone.`, tone: 'danger' };
  if (!keeps) return { words: `This phone keeps nothing: keep the signal, or use paper. ${waiting}.`, tone: 'danger' };
  if (trouble === 'no signal') return { words: `No signal: ${unsent === 0 ? 'nothing waits' : `${waiting} yet`}`, tone: 'caution' };
  return unsent === 0 ? { words: `All sent, ${heard}`, tone: 'plain' } : { words: `${waiting} yet`, tone: 'plain' };
}

/** The line that says it, with a button to send at once. */
export class SentLine {
  readonly element = el('div', { class: 'roll-sent' });
  readonly #send: () => void;
  #drawn = '';

  constructor(send: () => void) {
    this.#send = send;
  }

  draw(roll: LiveRoll, clock: (at: number) => string): void {
    const { words, tone } = sentWords(roll, clock(roll.heardAt));
    const drawn = [words, ...roll.refusals].join('\n');
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    this.element.className = `roll-sent ${tone}`;
    this.element.replaceChildren(el('p', {}, el('b', {}, words)), ...this.#doing(roll));
    if (roll.refusals.length > 0)
      this.element.append(el('ul', { class: 'note danger' }, ...roll.refusals.map((sentence) => el('li', {}, sentence))));
  }

  #doing({ trouble, unsent, state }: LiveRoll): HTMLElement[] {
    if (trouble === 'signed out') return [el('a', { href: SIGN_IN(state.walk) }, 'Sign in')];
    if (trouble === 'closed' || trouble === 'not yours') return [el('a', { href: `/lead/walks/${state.walk}` }, 'To the walk')];
    return unsent > 0 || trouble ? [button('Send now', 'link', this.#send)] : [];
  }
}
