import { and, asc, eq, inArray, or } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import type { OweContext } from './compose.js';
import type { NoticeContent, NoticeKind, WalkContent } from './content.js';

export type NoticeRow = typeof notices.$inferSelect;

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
}

/** Writes owed mail; gives its number, or null where this very event is owed or was sent already. */
export function insertNotice(tx: Tx, context: OweContext, owed: OwedNotice): number | null {
  const { event, kind, to, content, giveUpAt } = owed;
  const walk = 'walk' in content ? content.walk : null;
  const row = tx
    .insert(notices)
    .values({
      event,
      kind,
      state: 'pending',
      walkId: walk?.walkId ?? null,
      signUpId: owed.signUpId ?? null,
      version: walk?.version ?? null,
      toName: to.name,
      toEmail: to.email,
      messageId: messageId(context, event),
      content,
      createdAt: context.now,
      dueAt: owed.dueAt ?? context.now,
      giveUpAt,
    })
    .onConflictDoNothing({ target: notices.event })
    .returning({ id: notices.id })
    .get();
  return row?.id ?? null;
}

/** Worked out from event and moment, so that it can't be guessed at by counting and stays the same for the row. */
export function messageId(context: OweContext, event: string): string {
  return `<${hashed(`${event} ${context.now} ${context.config.baseUrl}`).slice(0, 32)}@${new URL(context.config.baseUrl).hostname}>`;
}

/** A sign-up's open notices, and those that failed without an answer; oldest first. */
export function standingNotices(tx: Tx, signUpId: number) {
  const rows = tx
    .select()
    .from(notices)
    .where(
      and(
        eq(notices.signUpId, signUpId),
        or(inArray(notices.state, ['pending', 'sending']), and(eq(notices.state, 'failed'), eq(notices.unsure, true))),
      ),
    )
    .orderBy(asc(notices.id))
    .all();
  return rows as (NoticeRow & { state: 'pending' | 'sending' | 'failed' })[];
}

/** Replaces what a pending notice says. */
export function rewriteNotice(tx: Tx, id: number, content: WalkContent, times: { dueAt: number; giveUpAt: number }): void {
  tx.update(notices)
    .set({ content: { walk: content }, version: content.version, ...times })
    .where(and(eq(notices.id, id), eq(notices.state, 'pending')))
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
