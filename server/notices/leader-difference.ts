import type { ToldWalk } from './compose.js';
import type { Difference, NoticeContent } from './content.js';

/** What a difference in who leads is called. */
export const LEADER = 'Leader';

/** A leader as a notice knows them. */
interface Known {
  id?: number | undefined;
  name: string;
}

/** Who led a walk until now. */
export interface FormerLeader {
  personId: number;
  name: string;
}

/**
 * Who led before, and who leads now; null where that is the same to who reads it, so that there is nothing to tell.
 * @param overtaken the oldest earlier news that certainly never arrived: what it starts from is what they know
 */
export function leaderDifference(told: ToldWalk, overtaken: NoticeContent | undefined, former: FormerLeader): Difference | null {
  const { leader } = told.part;
  const { before, beforeId } = leaderNews(overtaken) ?? { before: former.name, beforeId: former.personId };
  if (isSame({ id: beforeId, name: before }, leader)) return null;
  const ids = { ...(beforeId === undefined ? {} : { beforeId }), ...(leader.id === undefined ? {} : { afterId: leader.id }) };
  return { label: LEADER, before, after: leader.name, ...ids };
}

/** What a notice tells of who leads; undefined where it is about something else. */
export function leaderNews(content: NoticeContent | undefined): Difference | undefined {
  return content && 'walk' in content ? content.walk.differences?.find((one) => one.label === LEADER) : undefined;
}

/** Whether two are the same person: by number, by name where a notice is older than that. Pure. */
export function isSame(one: Known, other: Known): boolean {
  return one.id === undefined || other.id === undefined ? one.name === other.name : one.id === other.id;
}
