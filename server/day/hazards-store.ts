import { and, desc, eq, isNull, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { hazards, routes } from '../db/schema/index.js';
import { nameKey } from '../waivers/rules.js';
import type { WalkFacts } from '../walks/facts.js';

export type HazardRow = typeof hazards.$inferSelect;

/** What of a walk says which route it is on. */
export type OnRoute = Pick<WalkFacts, 'areaId' | 'routeName' | 'routeId'>;

/** A hazard as it is shown: the row, and who noted it. */
export interface Hazard extends HazardRow {
  /** Null where they were erased. */
  by: string | null;
}

/** What a leader types of one. */
export interface NewHazard {
  /** What the form names it by: posted twice, it is one. */
  key: string;
  place: string;
  what: string;
  /** YYYY-MM-DD, or empty. */
  untilDate: string;
}

const COLUMNS = sql`h.id, h.walk_id AS walkId, h.key, h.area_id AS areaId, h.route_key AS routeKey, h.route_sha256 AS routeSha256, h.place, h.what,
  h.until_date AS untilDate, h.noted_at AS notedAt, h.noted_by AS notedBy, h.gone_at AS goneAt, h.gone_by AS goneBy, p.name AS by`;

/**
 * What stands in the way on a route, the latest first, at most twenty. The same file is the same route, whoever brought it and whatever they
 * call it; where either walk has none, the same name in the same area is. One query, by the indexes on what is not gone.
 */
export function hazardsOn(q: Tx, { areaId, routeName, routeId }: OnRoute): Hazard[] {
  const sha256 = sql`coalesce((SELECT sha256 FROM routes WHERE id = ${routeId}), '')`;
  const byName = sql`SELECT id FROM hazards WHERE gone_at IS NULL AND area_id = ${areaId} AND route_key = ${nameKey(routeName)}
    AND (route_sha256 = '' OR ${sha256} = '')`;
  const byFile = sql`SELECT id FROM hazards WHERE gone_at IS NULL AND route_sha256 <> '' AND route_sha256 = ${sha256}`;
  return q.all<Hazard>(sql`
    SELECT ${COLUMNS} FROM hazards h LEFT JOIN people p ON p.id = h.noted_by AND p.disabled_at IS NULL
    WHERE h.id IN (${byName} UNION ${byFile}) ORDER BY h.noted_at DESC, h.id LIMIT 20`);
}

function shaOf(q: Tx, routeId: number | null): string {
  if (routeId === null) return '';
  return q.select({ sha256: routes.sha256 }).from(routes).where(eq(routes.id, routeId)).get()?.sha256 ?? '';
}

/** One hazard, gone or not. */
export function hazardById(q: Tx, id: number): Hazard | undefined {
  if (!Number.isSafeInteger(id)) return undefined;
  return q.get<Hazard>(
    sql`SELECT ${COLUMNS} FROM hazards h LEFT JOIN people p ON p.id = h.noted_by AND p.disabled_at IS NULL WHERE h.id = ${id}`,
  );
}

/** What somebody noted, gone or not, the latest first. */
export function hazardsNotedBy(q: Tx, personId: number): HazardRow[] {
  return q.select().from(hazards).where(eq(hazards.notedBy, personId)).orderBy(desc(hazards.id)).all();
}

/** Keeps what was met on a walk's route; one of the same key changes nothing. */
export function addHazards(
  tx: Tx,
  walk: OnRoute & { id: number },
  met: readonly NewHazard[],
  { by, now }: { by: number; now: number },
): void {
  if (met.length === 0) return;
  const of = { walkId: walk.id, areaId: walk.areaId, routeKey: nameKey(walk.routeName), routeSha256: shaOf(tx, walk.routeId) };
  for (const one of met)
    tx.insert(hazards)
      .values({ ...of, ...one, notedAt: now, notedBy: by })
      .onConflictDoNothing({ target: [hazards.walkId, hazards.key] })
      .run();
}

/** Somebody says that it is gone. Said twice, the first counts. */
export function hazardGone(tx: Tx, id: number, { by, now }: { by: number; now: number }): void {
  tx.update(hazards)
    .set({ goneAt: now, goneBy: by })
    .where(and(eq(hazards.id, id), isNull(hazards.goneAt)))
    .run();
}
