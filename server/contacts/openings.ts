import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';

/** What the audit log calls an opening of emergency details. */
export const OPENED = 'opened emergency details';

/** One opening of one person's emergency details. */
export interface ContactOpening {
  memberId: number;
  /** ms */
  at: number;
  /** The name of whoever opened them. */
  by: string;
  why: string;
}

/** Who opened the emergency details of some party members, the newest first. One statement whatever their number. */
export function openingsOf(q: Tx, members: { id: number; walkId: number }[]): ContactOpening[] {
  if (members.length === 0) return [];
  const asked = JSON.stringify(members.map(({ id, walkId }) => ({ id, subject: `walk:${walkId}` })));
  // CROSS JOIN keeps the order: from the few members to their walks' openings, by the index, never through the whole log.
  return q.all<ContactOpening>(sql`
    SELECT opened.value AS memberId, a.at, coalesce(p.name, 'someone who has left') AS "by", json_extract(a.detail, '$.why') AS why
    FROM json_each(${asked}) AS asked
      CROSS JOIN audit_log a ON a.subject = json_extract(asked.value, '$.subject') AND a.action = ${OPENED}
      CROSS JOIN json_each(a.detail, '$.members') AS opened ON opened.value = json_extract(asked.value, '$.id')
      LEFT JOIN people p ON p.id = a.person_id
    ORDER BY a.at DESC, a.id DESC, opened.value`);
}
