import { and, desc, eq, isNull, sql } from 'drizzle-orm';
import { monthOf } from '../calc/month.js';
import type { Tx } from '../db/open.js';
import { areas, leaders, leaderTerms } from '../db/schema/index.js';

/**
 * Begins a term with a month; someone who leads already goes on with the one they have. Whoever was stood down in this very month and comes
 * back goes on, too: a mistake put right, or a change of mind, leaves the month as it was.
 */
export function beginTerm(tx: Tx, personId: number, month: string, now: number): void {
  if (openTerm(tx, personId)) return;
  const thisMonth = monthOf(now, areaZoneOf(tx, personId));
  const reopened = tx
    .update(leaderTerms)
    .set({ untilMonth: null })
    .where(
      and(eq(leaderTerms.personId, personId), eq(leaderTerms.untilMonth, thisMonth), eq(leaderTerms.fromMonth, lastTerm(tx, personId))),
    )
    .run();
  if (reopened.changes > 0) return;
  tx.insert(leaderTerms)
    .values({ personId, fromMonth: month, untilMonth: null, at: now })
    .onConflictDoUpdate({ target: [leaderTerms.personId, leaderTerms.fromMonth], set: { untilMonth: null, at: now } })
    .run();
}

/** Ends the term that runs: nothing is asked from this month on. One that had not begun yet asks for nothing at all. */
export function endTerm(tx: Tx, personId: number, now: number): void {
  if (!openTerm(tx, personId)) return;
  const month = monthOf(now, areaZoneOf(tx, personId));
  tx.update(leaderTerms)
    .set({ untilMonth: sql`max(${leaderTerms.fromMonth}, ${month})` })
    .where(and(eq(leaderTerms.personId, personId), isNull(leaderTerms.untilMonth)))
    .run();
}

/** The month in which a leader's latest term began; '' where they have none. */
function lastTerm(tx: Tx, personId: number): string {
  const row = tx
    .select({ from: leaderTerms.fromMonth })
    .from(leaderTerms)
    .where(eq(leaderTerms.personId, personId))
    .orderBy(desc(leaderTerms.fromMonth))
    .limit(1)
    .get();
  return row?.from ?? '';
}

function openTerm(tx: Tx, personId: number): boolean {
  const open = and(eq(leaderTerms.personId, personId), isNull(leaderTerms.untilMonth));
  return tx.select({ from: leaderTerms.fromMonth }).from(leaderTerms).where(open).get() !== undefined;
}

/** The zone of the area a leader leads in: what "this month" means for them. */
export function areaZoneOf(q: Tx, personId: number): string {
  const row = q
    .select({ zone: areas.zone })
    .from(leaders)
    .innerJoin(areas, eq(areas.id, leaders.areaId))
    .where(eq(leaders.personId, personId))
    .get();
  return row?.zone ?? 'UTC';
}
