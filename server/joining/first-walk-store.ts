import { type SQL, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';

/** So many walks led that set off make someone experienced. */
export const EXPERIENCED_WALKS = 3;
const MOST_SHOWN = 12;

/** Someone who offers to share a new leader's first walk. */
export interface Companion {
  name: string;
  phone: string | null;
  areaName: string;
}

/** Whether someone leads, and no walk that they led or shared has set off yet. */
export function isNewLeader(q: Tx, personId: number, now: number): boolean {
  return (
    q.get<{ one: number } | undefined>(sql`
      SELECT 1 AS one FROM leaders l WHERE l.person_id = ${personId} AND l.state = 'approved' AND NOT EXISTS (
        SELECT 1 FROM walk_leaders wl JOIN walks w ON w.id = wl.walk_id
        WHERE wl.person_id = l.person_id AND w.state IN ('posted', 'closed') AND w.set_off_at <= ${now})`) !== undefined
  );
}

/** Whether someone leads or shares a walk to come, a draft too, together with someone experienced. */
export function isFirstShared(q: Tx, personId: number, now: number): boolean {
  return (
    q.get<{ one: number } | undefined>(sql`
      SELECT 1 AS one FROM walk_leaders own CROSS JOIN walks w ON w.id = own.walk_id JOIN walk_leaders wl ON wl.walk_id = w.id
      WHERE own.person_id = ${personId} AND w.state IN ('draft', 'posted') AND w.gather_at > ${now}
        AND wl.person_id <> ${personId} AND ${walksLed(sql`wl.person_id`, now)} >= ${EXPERIENCED_WALKS} LIMIT 1`) !== undefined
  );
}

/** How many walks somebody led that set off. */
function walksLed(person: SQL, now: number): SQL {
  return sql`(SELECT count(*) FROM walk_leaders led JOIN walks w ON w.id = led.walk_id
    WHERE led.person_id = ${person} AND led.part = 'leader' AND w.state IN ('posted', 'closed') AND w.set_off_at <= ${now})`;
}

/** Experienced leaders who offer to share a first walk and lead in an area where a new leader does: those of the new leader's home area first, then by name. */
export function companionsOf(q: Tx, personId: number, now: number): Companion[] {
  return q.all<Companion>(sql`
    WITH theirs AS (
      SELECT area_id FROM leaders WHERE person_id = ${personId} UNION SELECT area_id FROM leader_areas WHERE person_id = ${personId})
    SELECT p.name, p.phone, a.name AS areaName
    FROM leaders l JOIN people p ON p.id = l.person_id JOIN areas a ON a.id = l.area_id
    WHERE l.state = 'approved' AND l.offers_first = 1 AND l.person_id <> ${personId}
      AND (l.area_id IN theirs OR EXISTS (SELECT 1 FROM leader_areas o WHERE o.person_id = l.person_id AND o.area_id IN theirs))
      AND ${walksLed(sql`l.person_id`, now)} >= ${EXPERIENCED_WALKS}
    ORDER BY l.area_id <> (SELECT area_id FROM leaders WHERE person_id = ${personId}), p.name LIMIT ${MOST_SHOWN}`);
}
