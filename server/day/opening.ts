import type { WalkRow } from '../walks/ledby.js';

const HOUR_MS = 60 * 60 * 1000;
/** The roll opens so long before people gather, so that a leader has it on the phone before driving to where there is no signal. */
export const ROLL_OPENS_MS = 24 * HOUR_MS;

/** How a walk's roll stands: 'over' where the walk is closed or cancelled, and what comes late is kept but changes nothing that was closed. */
export type RollPhase = 'draft' | 'before' | 'open' | 'over';

/** How a walk's roll stands now; the instant it opens is inclusive. It stays open until the walk is closed, however long that takes. Pure. @param now ms */
export function rollPhase(walk: Pick<WalkRow, 'state' | 'gatherAt'>, now: number): RollPhase {
  if (walk.state === 'draft') return 'draft';
  if (walk.state === 'closed' || walk.state === 'cancelled') return 'over';
  return now < walk.gatherAt - ROLL_OPENS_MS ? 'before' : 'open';
}
