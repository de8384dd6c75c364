import type { ToldWalk } from './compose.js';
import type { Difference, NoticeContent } from './content.js';

/** What a difference in who leads is called. */
export const LEADER = 'Leader';

/**
 * Who led before, and who leads now.
 * @param overtaken earlier news that never went out: what it starts from is what they know, unless that is how it stands again
 */
export function leaderDifference(told: ToldWalk, overtaken: NoticeContent | undefined, former: string): Difference {
  const after = told.part.leader.name;
  const known = overtaken && 'walk' in overtaken ? overtaken.walk.differences?.[0]?.before : undefined;
  return { label: LEADER, before: known === undefined || known === after ? former : known, after };
}
