import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { whyWords } from './reasons.js';

/** What the audit log calls an opening of emergency details. */
export const OPENED = 'opened emergency details';

/** One opening of one person's emergency details, as that person may read it. */
export interface ContactOpening {
  memberId: number;
  /** ms */
  at: number;
  /** The name of whoever opened them. */
  by: string;
  /** The listed reason; words that were typed only where nobody else was opened with them. */
  why: string;
}

interface Row {
  memberId: number;
  at: number;
  by: string;
  reason: string | null;
  why: string | null;
  alone: 0 | 1;
}

/** Who opened the emergency details of some party members, the newest first. One statement whatever their number. */
export function openingsOf(q: Tx, members: { id: number; walkId: number }[]): ContactOpening[] {
  if (members.length === 0) return [];
  const asked = JSON.stringify(members.map(({ id, walkId }) => ({ id, subject: `walk:${walkId}` })));
  // CROSS JOIN keeps the order: from the few members to their walks' openings, by the index, never through the whole log.
  // Who opened everyone may have meant someone who left no contact and so is not among the members.
  const rows = q.all<Row>(sql`
    SELECT opened.value AS memberId, a.at, coalesce(p.name, 'someone who has left') AS "by",
      json_extract(a.detail, '$.reason') AS reason, json_extract(a.detail, '$.why') AS why,
      json_array_length(a.detail, '$.members') = 1 AND json_extract(a.detail, '$.everyone') IS NULL AS alone
    FROM json_each(${asked}) AS asked
      CROSS JOIN audit_log a ON a.subject = json_extract(asked.value, '$.subject') AND a.action = ${OPENED}
      CROSS JOIN json_each(a.detail, '$.members') AS opened ON opened.value = json_extract(asked.value, '$.id')
      LEFT JOIN people p ON p.id = a.person_id
    ORDER BY a.at DESC, a.id DESC, opened.value`);
  return rows.map(({ memberId, at, by, alone, ...kept }) => ({ memberId, at, by, why: whyWords(kept, alone === 1) }));
}

/** The same of people who turned up without having signed up: `memberId` is the number of their row. */
export function openingsOfTurnedUp(q: Tx, some: { id: number; walkId: number }[]): ContactOpening[] {
  if (some.length === 0) return [];
  const asked = JSON.stringify(some.map(({ id, walkId }) => ({ id, subject: `walk:${walkId}` })));
  const rows = q.all<Omit<Row, 'alone'>>(sql`
    SELECT opened.value AS memberId, a.at, coalesce(p.name, 'someone who has left') AS "by",
      json_extract(a.detail, '$.reason') AS reason, json_extract(a.detail, '$.why') AS why
    FROM json_each(${asked}) AS asked
      CROSS JOIN audit_log a ON a.subject = json_extract(asked.value, '$.subject') AND a.action = ${OPENED}
      CROSS JOIN json_each(a.detail, '$.turnedUp') AS opened ON opened.value = json_extract(asked.value, '$.id')
      LEFT JOIN people p ON p.id = a.person_id
    ORDER BY a.at DESC, a.id DESC`);
  return rows.map(({ memberId, at, by, ...kept }) => ({ memberId, at, by, why: whyWords(kept, true) }));
}
