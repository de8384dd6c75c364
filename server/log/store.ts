import { sql } from 'drizzle-orm';
import { turnedUpKnownBy } from '../day/in-their-care.js';
import type { Tx } from '../db/open.js';
import { nameKey } from '../waivers/rules.js';

/** One line of a walker's log: a closed walk, and how far somebody walked on it. */
export interface LogLine {
  walkId: number;
  /** Who walked. */
  name: string;
  /** The person themself; others are of their party. */
  isSelf: boolean;
  /** They led it, or shared the lead. */
  led: boolean;
  outcome: 'full' | 'short' | 'left' | 'absent';
  metres: number;
  /** YYYY-MM-DD by the walk's own clock. */
  wallDate: string;
  gatherAt: number;
  zone: string;
  distanceMetres: number;
  routeName: string;
  locality: string;
}

type Row = Omit<LogLine, 'isSelf' | 'led'> & { booker: string | null; own: number; led: number };

const WALK = sql`w.wall_date AS wallDate, w.gather_at AS gatherAt, w.zone, w.distance_metres AS distanceMetres, w.route_name AS routeName, w.locality`;
const WALKED = sql`a.walk_id AS walkId, a.outcome, a.metres`;

/**
 * What is known of somebody's walks, the latest first: by their address as booker (the member of the booker's name is they themself), as an
 * absent adult in another's party, or as someone who turned up, with the minors in their care; and walks they led. Those in their party who have an address of their own
 * keep their own log. One statement, by the indexes on addresses.
 */
export function logOf(q: Tx, { id, email }: { id: number; email: string }): LogLine[] {
  const rows = q.all<Row>(sql`
    SELECT m.name, s.name AS booker, NOT m.minor AS own, 0 AS led, ${WALKED}, ${WALK}
    FROM sign_ups s JOIN party_members m ON m.sign_up_id = s.id AND m.email IS NULL LEFT JOIN party_members g ON g.id = m.guardian_id
      JOIN attendance a ON a.member_id = m.id JOIN walks w ON w.id = a.walk_id
    WHERE s.email = ${email} AND g.email IS NULL
    UNION ALL
    SELECT m.name, NULL, m.email IS NOT NULL, 0, ${WALKED}, ${WALK}
    FROM party_members m JOIN attendance a ON a.member_id = m.id JOIN walks w ON w.id = a.walk_id
    WHERE m.email = ${email} OR m.guardian_id IN (SELECT id FROM party_members WHERE email = ${email})
    UNION ALL
    SELECT t.name, NULL, NOT t.minor, 0, ${WALKED}, ${WALK}
    FROM turned_up t JOIN attendance a ON a.turned_up_id = t.id JOIN walks w ON w.id = a.walk_id
    WHERE t.id IN ${turnedUpKnownBy(email)}
    UNION ALL
    SELECT '', NULL, 1, 1, w.id, 'full', w.distance_metres, ${WALK}
    FROM walk_leaders l JOIN walks w ON w.id = l.walk_id WHERE l.person_id = ${id} AND w.state = 'closed'
    ORDER BY gatherAt DESC, walkId, led DESC`);
  return rows.map(({ booker, own, led, ...row }) => ({
    ...row,
    led: led === 1,
    isSelf: own === 1 && (booker === null || nameKey(booker) === nameKey(row.name)),
  }));
}
