import { and, inArray, ne, sql } from 'drizzle-orm';
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

/** The other posted walks that gather within a day of any of some instants, and whether one who leads or shares the walk leads or shares them, too. */
export function walksAround(q: Tx, ats: number[], { walkId, leaderId }: Whose): { walk: WalkRow; sameLeader: boolean }[] {
  const own = walkId === null ? sql`(${leaderId})` : sql`(SELECT o.person_id FROM ${walkLeaders} o WHERE o.walk_id = ${walkId})`;
  const led = sql<number>`EXISTS (SELECT 1 FROM ${walkLeaders} l WHERE l.walk_id = ${walks.id} AND l.person_id IN ${own})`;
  // CROSS JOIN keeps the order: from the instants to the walks about each, by the index on coming walks.
  const about = sql`(SELECT w.id FROM json_each(${JSON.stringify(ats)}) d CROSS JOIN walks w
    ON w.gather_at BETWEEN d.value - ${LONGEST_DAY_MS} AND d.value + ${LONGEST_DAY_MS}
    WHERE w.state = 'posted' AND w.state IN ('posted', 'cancelled'))`;
  return q
    .select({ walk: walks, sameLeader: led })
    .from(walks)
    .where(and(inArray(walks.id, about), ne(walks.id, walkId ?? 0)))
    .orderBy(walks.gatherAt)
    .all()
    .map(({ walk, sameLeader }) => ({ walk, sameLeader: sameLeader === 1 }));
}
