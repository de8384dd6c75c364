import { and, between, eq, ne, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { walkLeaders, walks } from '../db/schema/index.js';
import type { WalkRow } from '../walks/ledby.js';

/** No walk of one day takes longer than this. */
const LONGEST_DAY_MS = 24 * 60 * 60 * 1000;

/** Whose walk it is. */
export interface Whose {
  /** Null before the walk has a number. */
  walkId: number | null;
  /** Who leads it, or is about to; a walk with a number has its own leaders. */
  leaderId: number;
  /** A walk that is posted may lie in the past. */
  when?: 'draft' | 'posted';
}

/** The other posted walks that gather within a day of an instant, and whether one who leads or shares the walk leads or shares them, too. */
export function walksAround(q: Tx, at: number, { walkId, leaderId }: Whose): { walk: WalkRow; sameLeader: boolean }[] {
  const own = walkId === null ? sql`(${leaderId})` : sql`(SELECT o.person_id FROM ${walkLeaders} o WHERE o.walk_id = ${walkId})`;
  const led = sql<number>`EXISTS (SELECT 1 FROM ${walkLeaders} l WHERE l.walk_id = ${walks.id} AND l.person_id IN ${own})`;
  return q
    .select({ walk: walks, sameLeader: led })
    .from(walks)
    .where(
      and(
        between(walks.gatherAt, at - LONGEST_DAY_MS, at + LONGEST_DAY_MS),
        eq(walks.state, 'posted'),
        ne(walks.id, walkId ?? 0),
        // Says the same again in the words of the index on coming walks.
        sql`${walks.state} IN ('posted', 'cancelled')`,
      ),
    )
    .orderBy(walks.gatherAt)
    .all()
    .map(({ walk, sameLeader }) => ({ walk, sameLeader: sameLeader === 1 }));
}
