import { sql } from 'drizzle-orm';
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

/** Experienced leaders who offer to share a first walk and lead in an area where a new leader does, by name. */
export function companionsOf(q: Tx, personId: number, now: number): Companion[] {
  return q.all<Companion>(sql`
    WITH theirs AS (
      SELECT area_id FROM leaders WHERE person_id = ${personId} UNION SELECT area_id FROM leader_areas WHERE person_id = ${personId})
    SELECT p.name, p.phone, a.name AS areaName
    FROM leaders l JOIN people p ON p.id = l.person_id JOIN areas a ON a.id = l.area_id
    WHERE l.state = 'approved' AND l.offers_first = 1 AND l.person_id <> ${personId}
      AND (l.area_id IN theirs OR EXISTS (SELECT 1 FROM leader_areas o WHERE o.person_id = l.person_id AND o.area_id IN theirs))
      AND (SELECT count(*) FROM walk_leaders wl JOIN walks w ON w.id = wl.walk_id
        WHERE wl.person_id = l.person_id AND wl.part = 'leader' AND w.state IN ('posted', 'closed') AND w.set_off_at <= ${now}) >= ${EXPERIENCED_WALKS}
    ORDER BY p.name LIMIT ${MOST_SHOWN}`);
}
