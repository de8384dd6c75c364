import { and, asc, desc, eq, lt, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, signUps, walks } from '../db/schema/index.js';
import type { NoticeKind } from './content.js';

export const PAGE_ROWS = 50;

export type NoticeState = (typeof notices.$inferSelect)['state'];

/** A notice as lists show it: how it fared, and the phone to ring where it did not arrive. */
export interface NoticeLine {
  id: number;
  kind: NoticeKind;
  state: NoticeState;
  walkId: number | null;
  toName: string;
  toEmail: string;
  /** When it ended; of one still open, when it goes next. ms */
  at: number;
  attempts: number;
  unsure: boolean;
  lastError: string | null;
  /** How many go in this one mail: of several walks' news one line is shown. Not known in a list of one walk's mail. */
  together?: number;
  phone: string | null;
}

/** The same with its walk, for a list of many walks' mail. Gathering in ms; all null where it is about none. */
export interface MailLine extends NoticeLine {
  routeName: string | null;
  gatherAt: number | null;
  zone: string | null;
}

const LINE = {
  id: notices.id,
  kind: notices.kind,
  state: notices.state,
  walkId: notices.walkId,
  toName: notices.toName,
  toEmail: notices.toEmail,
  at: sql<number>`coalesce(${notices.endedAt}, ${notices.dueAt})`,
  attempts: notices.attempts,
  unsure: notices.unsure,
  lastError: notices.lastError,
  phone: signUps.phone,
};

// Rows of one mail: of a lot, to one address, that fare alike. Those overtaken went in no mail. By the index on lot.
const SAME_MAIL = sql.raw('o.lot = notices.lot AND o.to_email = notices.to_email AND o.kind = notices.kind AND o.state = notices.state');
const FIRST_OF_LOT = sql`(${notices.lot} IS NULL OR ${notices.state} = 'replaced'
  OR NOT EXISTS (SELECT 1 FROM notices o WHERE o.lot IS NOT NULL AND ${SAME_MAIL} AND o.id < ${notices.id}))`;
const TOGETHER = sql<number>`(CASE WHEN ${notices.lot} IS NULL OR ${notices.state} = 'replaced' THEN 1
  ELSE (SELECT count(*) FROM notices o WHERE o.lot IS NOT NULL AND ${SAME_MAIL}) END)`;

/** The newest notices, a page of them, before a number. */
export function latestNotices(q: Tx, before: number): MailLine[] {
  return mailLines(q)
    .where(and(lt(notices.id, before), FIRST_OF_LOT))
    .orderBy(desc(notices.id))
    .limit(PAGE_ROWS)
    .all();
}

// Written out, not as a parameter: the index on failed mail is found by these words.
const HAS_FAILED = sql`${notices.state} = 'failed'`;

/** Mail that failed, the latest first; a page of it. */
export function failedNotices(q: Tx): MailLine[] {
  return mailLines(q).where(and(HAS_FAILED, FIRST_OF_LOT)).orderBy(desc(notices.endedAt)).limit(PAGE_ROWS).all();
}

/** The numbers of all mail that failed, the first to fail first. */
export function failedIds(q: Tx): number[] {
  const rows = q.select({ id: notices.id }).from(notices).where(HAS_FAILED).orderBy(asc(notices.endedAt)).all();
  return rows.map((row) => row.id);
}

const MOST_FAILED = 100;

/** Mail about a walk that failed, the latest first, however much has gone since; at most a hundred. */
export function failedOf(q: Tx, walkId: number): NoticeLine[] {
  return lines(q)
    .where(and(eq(notices.walkId, walkId), HAS_FAILED))
    .orderBy(desc(notices.id))
    .limit(MOST_FAILED)
    .all();
}

/** How the notices of one walk fared, the latest first. */
export function walkNotices(q: Tx, walkId: number): NoticeLine[] {
  return lines(q)
    .where(eq(notices.walkId, walkId))
    .orderBy(desc(notices.id))
    .limit(4 * PAGE_ROWS)
    .all();
}

function lines(q: Tx) {
  return q.select(LINE).from(notices).leftJoin(signUps, eq(signUps.id, notices.signUpId));
}

function mailLines(q: Tx) {
  return q
    .select({ ...LINE, together: TOGETHER, routeName: walks.routeName, gatherAt: walks.gatherAt, zone: walks.zone })
    .from(notices)
    .leftJoin(signUps, eq(signUps.id, notices.signUpId))
    .leftJoin(walks, eq(walks.id, notices.walkId));
}

/** One notice, whole. */
export function noticeById(q: Tx, id: number) {
  return Number.isSafeInteger(id) ? q.select().from(notices).where(eq(notices.id, id)).get() : undefined;
}

type Row = typeof notices.$inferSelect;

/** The notices that go in one mail with another, itself among them, the oldest first; of one that was overtaken, itself alone. */
export function lotWith(q: Tx, row: Row): [Row, ...Row[]] {
  const rows = row.lot === null || row.state === 'replaced' ? [] : ofLot(q, row, row.lot).filter((one) => one.state !== 'replaced');
  const [first, ...rest] = rows;
  return first ? [first, ...rest] : [row];
}

/** Of those, the ones that failed. */
export function failedWith(q: Tx, row: Row): Row[] {
  return lotWith(q, row).filter((one) => one.state === 'failed');
}

function ofLot(q: Tx, row: Row, lot: string): Row[] {
  return q
    .select()
    .from(notices)
    .where(and(eq(notices.lot, lot), eq(notices.toEmail, row.toEmail)))
    .orderBy(asc(notices.id))
    .all();
}

/** How mail is faring: how much is still to go, how long the oldest of it that is due has waited (ms), how much failed. */
export function queueAge(q: Tx, now: number): { pending: number; sending: number; oldestMs: number; failed: number } {
  const open = q
    .select({
      pending: sql<number>`count(*) FILTER (WHERE state = 'pending')`,
      sending: sql<number>`count(*) FILTER (WHERE state = 'sending')`,
      // A notice on hold is not late; one that was tried is, even while it waits for the next try.
      oldest: sql<number | null>`min(CASE WHEN due_at <= ${now} OR attempts > 0 THEN created_at END)`,
    })
    .from(notices)
    .where(sql`state IN ('pending', 'sending')`)
    .get();
  const failed = q.select({ count: sql<number>`count(*)` }).from(notices).where(sql`state = 'failed'`).get();
  const oldest = open?.oldest ?? now;
  return { pending: open?.pending ?? 0, sending: open?.sending ?? 0, oldestMs: Math.max(0, now - oldest), failed: failed?.count ?? 0 };
}
