import { isDeepStrictEqual } from 'node:util';
import { and, asc, eq, gt, gte, inArray, lt, max, or, type SQL, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { notices } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import type { OweContext } from './compose.js';
import { NOTICE_KINDS, type NoticeContent, type NoticeKind, type WalkContent } from './content.js';
import { KINDS } from './kinds.js';

export type NoticeRow = typeof notices.$inferSelect;
/** A notice that is open, or failed without an answer. */
export type StandingRow = NoticeRow & { state: 'pending' | 'sending' | 'failed' };

export interface OwedNotice {
  /** Names the cause and the recipient: the same one owes one mail, however often it is asked for. */
  event: string;
  kind: NoticeKind;
  to: { name: string; email: string };
  content: NoticeContent;
  signUpId?: number;
  /** Default: now. */
  dueAt?: number;
  giveUpAt: number;
  /** Rows of one lot to one address go as one mail. Default: a mail of its own. */
  lot?: string | null;
}

/** Writes owed mail; gives its number, or null where this very event is owed or was sent already. */
export function insertNotice(tx: Tx, context: OweContext, owed: OwedNotice): number | null {
  const { event, kind, to, content, giveUpAt } = owed;
  const walk = walkIn(content);
  const row = noticeAdded(tx).get({
    event,
    kind,
    walkId: walk?.walkId ?? null,
    signUpId: owed.signUpId ?? null,
    version: walk?.version ?? null,
    toName: to.name,
    toEmail: to.email,
    messageId: messageId(context, event),
    content,
    now: context.now,
    dueAt: owed.dueAt ?? context.now,
    giveUpAt,
    lot: owed.lot ?? null,
  });
  return row?.id ?? null;
}

/** The walk that a notice is about, and its version then; null for one about none. */
function walkIn(content: NoticeContent): { walkId: number; version: number } | null {
  if ('walk' in content) return content.walk;
  if ('thanks' in content) return content.thanks;
  if ('notClosed' in content) return content.notClosed;
  return 'together' in content ? content.together : null;
}

const noticeAdded = prepared((q) =>
  q
    .insert(notices)
    .values({
      event: sql.placeholder('event'),
      kind: sql.placeholder('kind'),
      walkId: sql.placeholder('walkId'),
      signUpId: sql.placeholder('signUpId'),
      version: sql.placeholder('version'),
      toName: sql.placeholder('toName'),
      toEmail: sql.placeholder('toEmail'),
      messageId: sql.placeholder('messageId'),
      content: sql.placeholder('content'),
      dueAt: sql.placeholder('dueAt'),
      giveUpAt: sql.placeholder('giveUpAt'),
      lot: sql.placeholder('lot'),
      state: 'pending',
      createdAt: sql.placeholder('now'),
    })
    .onConflictDoNothing({ target: notices.event })
    .returning({ id: notices.id })
    .prepare(),
);

/** Worked out from event and moment, so that it can't be guessed at by counting and stays the same for the row. */
export function messageId(context: OweContext, event: string): string {
  return `<${hashed(`${event} ${context.now} ${context.config.baseUrl}`).slice(0, 32)}@${new URL(context.config.baseUrl).hostname}>`;
}

/** When the latest notice was made whose event is `cause` and something after a colon, ms; null where there is none. */
export function latestOf(tx: Tx, cause: string): number | null {
  const named = and(gte(notices.event, `${cause}:`), lt(notices.event, `${cause};`));
  return (
    tx
      .select({ at: max(notices.createdAt) })
      .from(notices)
      .where(named)
      .get()?.at ?? null
  );
}

/** A sign-up's open notices, and those that failed without an answer; oldest first. */
export function standingNotices(tx: Tx, signUpId: number): StandingRow[] {
  return standing(tx, eq(notices.signUpId, signUpId));
}

/** The same for everyone on a walk, by sign-up. */
export function standingOn(tx: Tx, walkId: number): Map<number, StandingRow[]> {
  const bySignUp = new Map<number, StandingRow[]>();
  for (const row of standing(tx, eq(notices.walkId, walkId)))
    if (row.signUpId !== null) bySignUp.set(row.signUpId, [...(bySignUp.get(row.signUpId) ?? []), row]);
  return bySignUp;
}

function standing(tx: Tx, whose: SQL): StandingRow[] {
  const mayArrive = or(inArray(notices.state, ['pending', 'sending']), and(eq(notices.state, 'failed'), eq(notices.unsure, true)));
  return tx.select().from(notices).where(and(whose, mayArrive)).orderBy(asc(notices.id)).all() as StandingRow[];
}

/**
 * Replaces what a pending notice says. One that says the same as before keeps the time it was written at: a retry is the same mail.
 * @param set lot: the mail it goes in from now on, left as it is where it is not given. With others it begins anew: they are tried together
 */
export function rewriteNotice(
  tx: Tx,
  row: NoticeRow,
  content: WalkContent,
  set: { dueAt: number; giveUpAt: number; lot?: string | null },
): void {
  const before = 'walk' in row.content ? row.content.walk : null;
  const same = isDeepStrictEqual({ ...content, writtenAt: before?.writtenAt }, { ...before, writtenAt: before?.writtenAt });
  tx.update(notices)
    .set({ ...set, ...(set.lot ? { attempts: 0 } : {}), ...(same ? {} : { content: { walk: content }, version: content.version }) })
    .where(and(eq(notices.id, row.id), eq(notices.state, 'pending')))
    .run();
}

const IN_TURN = NOTICE_KINDS.filter((kind) => KINDS[kind].inTurn);

/** Whatever waits for a sign-up, and would keep later news waiting, is due now. */
export function hastenNotices(tx: Tx, signUpId: number, now: number): void {
  tx.update(notices)
    .set({ dueAt: now })
    .where(and(eq(notices.signUpId, signUpId), eq(notices.state, 'pending'), inArray(notices.kind, IN_TURN), gt(notices.dueAt, now)))
    .run();
}

/** Takes back pending notices that nobody has been told of. */
export function dropNotices(tx: Tx, rows: Pick<NoticeRow, 'id'>[]): void {
  if (rows.length === 0) return;
  const ids = rows.map((row) => row.id);
  tx.delete(notices)
    .where(and(inArray(notices.id, ids), eq(notices.state, 'pending')))
    .run();
}

/** Marks pending notices as replaced by a later one. */
export function replaceNotices(tx: Tx, rows: Pick<NoticeRow, 'id'>[], now: number): void {
  if (rows.length === 0) return;
  const ids = rows.map((row) => row.id);
  tx.update(notices)
    .set({ state: 'replaced', endedAt: now })
    .where(and(inArray(notices.id, ids), eq(notices.state, 'pending')))
    .run();
}

/** Mail of some kinds about a walk that failed, the oldest first. */
export function failedOn(tx: Tx, walkId: number, kinds: NoticeKind[]): NoticeRow[] {
  const which = and(eq(notices.walkId, walkId), eq(notices.state, 'failed'), inArray(notices.kind, kinds));
  return tx.select().from(notices).where(which).orderBy(asc(notices.id)).all();
}

/** The oldest of some notices that certainly never arrived. Pure. */
export function oldestUnheard(rows: NoticeRow[]): NoticeRow | undefined {
  return rows.filter((row) => !row.unsure).sort((a, b) => a.id - b.id)[0];
}

/** Marks notices that wait or failed as replaced: what they say is so no more, so nobody is to try them again. */
export function overtakeNotices(tx: Tx, rows: Pick<NoticeRow, 'id'>[], now: number): void {
  if (rows.length === 0) return;
  const ids = rows.map((row) => row.id);
  tx.update(notices)
    .set({ state: 'replaced', endedAt: now })
    .where(and(inArray(notices.id, ids), inArray(notices.state, ['pending', 'failed'])))
    .run();
}

/** What one edit owes one address is due together, as soon as the first of it is: news for today takes the rest with it. */
export function alignLot(tx: Tx, lot: string): void {
  const first = sql<number>`(SELECT min(m.due_at) FROM notices m WHERE m.lot = ${lot} AND m.to_email = ${notices.toEmail} AND m.state = 'pending')`;
  tx.update(notices)
    .set({ dueAt: first })
    .where(and(eq(notices.lot, lot), eq(notices.state, 'pending')))
    .run();
}
