import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';

/** One thing that was said of someone on a roll. */
export interface SaidOfMe {
  walkId: number;
  who: string;
  said: unknown;
  receivedAt: number;
  byPersonId: number | null;
}

/** What was said on rolls of some party members, and of whoever turned up with an address, in the order heard. One query. */
export function ownRoll(q: Tx, memberIds: readonly number[], email: string): SaidOfMe[] {
  // CROSS JOIN keeps the order: from the few members to their walks, so that everyone else's entries cost nothing.
  const rows = q.all<Omit<SaidOfMe, 'said'> & { id: number; said: string }>(sql`
    SELECT e.id, e.walk_id AS walkId, e.who, e.said, e.received_at AS receivedAt, e.by_person_id AS byPersonId
    FROM json_each(${JSON.stringify(memberIds)}) mine
      CROSS JOIN party_members m ON m.id = mine.value
      CROSS JOIN sign_ups s ON s.id = m.sign_up_id
      CROSS JOIN roll_entries e ON e.walk_id = s.walk_id AND e.who = 'm' || m.id
    UNION ALL
    SELECT e.id, e.walk_id, e.who, e.said, e.received_at, e.by_person_id
    FROM turned_up t CROSS JOIN roll_entries e ON e.walk_id = t.walk_id AND e.who = 't' || t.key
    WHERE t.email <> '' AND t.email = ${email}
    ORDER BY 1`);
  return rows.map(({ id: _, said, ...row }) => ({ ...row, said: JSON.parse(said) as unknown }));
}
