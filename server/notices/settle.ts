import { and, eq, lte, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { walkChanges } from '../db/schema/index.js';
import type { WalkFacts } from '../walks/facts.js';
import { factsAt } from '../walks/store.js';
import { contentFor, type OweContext, partyNames, type SignUpRow, signUpById, type ToldWalk, toldWalk } from './compose.js';
import type { Difference } from './content.js';
import { differences } from './difference.js';
import { DAY_MS, giveUpAt, holdUntil, isUrgent } from './due.js';
import { planNotices } from './net.js';
import { dropNotices, insertNotice, type NoticeRow, replaceNotices, rewriteNotice, standingNotices } from './owed.js';

/** An edit that is owed to a sign-up; `offered`: with what a leader may choose to tell. */
export interface OwedEdit {
  offered: boolean;
}

/**
 * Brings a sign-up's open notices in line with the walk as it stands: after an edit (`edit`), and after every attempt that ended.
 * Doing it twice changes nothing.
 */
export function settleSignUp(tx: Tx, context: OweContext, told: ToldWalk, signUp: SignUpRow, edit: OwedEdit | null): void {
  const rows = standingNotices(tx, signUp.id);
  if (rows.length === 0 && !edit) return;
  const plan = planNotices({
    over: signUp.state === 'withdrawn' || told.walk.state !== 'posted',
    version: told.walk.version,
    toldVersion: signUp.toldVersion,
    signedUpVersion: signUp.toldVersion ?? signedUpVersion(tx, signUp),
    notices: rows,
  });
  const some = (ids: number[]) => rows.filter((row) => ids.includes(row.id));
  replaceNotices(tx, some(plan.replace), context.now);
  const party = partyNames(tx, signUp.id);
  for (const row of some(plan.rewrite)) bringUpToDate(tx, context, told, row, signUp, party);
  const reminders = rows.filter((row) => row.kind === 'reminder' && row.state === 'pending' && !row.unsure);
  settleChange(tx, context, told, { signUp, party, edit, bases: plan.bases, changes: some(plan.changes), reminders });
}

/** The same for one sign-up by its number. */
export function settleAfterAttempt(tx: Tx, context: OweContext, signUpId: number): void {
  const signUp = signUpById(tx, signUpId);
  settleSignUp(tx, context, toldWalk(tx, context, signUp.walkId), signUp, null);
}

/** What the walk was when the walker read its page and signed up. */
function signedUpVersion(tx: Tx, signUp: SignUpRow): number {
  const row = tx
    .select({ version: sql<number | null>`max(version)` })
    .from(walkChanges)
    .where(and(eq(walkChanges.walkId, signUp.walkId), lte(walkChanges.at, signUp.createdAt)))
    .get();
  return row?.version ?? 1;
}

/** A notice that never went out says what is true now; a reminder whose day has moved away is owed anew when its day comes. */
function bringUpToDate(tx: Tx, context: OweContext, told: ToldWalk, row: NoticeRow, signUp: SignUpRow, party: string[]): void {
  const { gatherAt, date } = told.facts;
  const before = 'walk' in row.content ? row.content.walk : null;
  const moved = before?.facts.date !== date || gatherAt - context.now > DAY_MS;
  if (row.kind === 'reminder' && moved) dropNotices(tx, [row]);
  else
    rewriteNotice(
      tx,
      row.id,
      { ...before, ...contentFor(told, signUp, party) },
      { dueAt: row.dueAt, giveUpAt: giveUpAt(context.now, gatherAt) },
    );
}

interface OwedChange {
  signUp: SignUpRow;
  party: string[];
  edit: OwedEdit | null;
  bases: number[];
  /** Pending change notices, oldest first. */
  changes: NoticeRow[];
  /** Pending reminders that certainly never went out. */
  reminders: NoticeRow[];
}

/** Keeps one pending change notice with the net difference, or none where there is no difference left. */
function settleChange(tx: Tx, context: OweContext, told: ToldWalk, owed: OwedChange): void {
  const { signUp, changes, edit } = owed;
  const [kept, ...merged] = changes;
  if (!kept && !edit) return;
  const offered = edit?.offered === true || changes.some((row) => 'walk' in row.content && row.content.walk.offered === true);
  const before = owed.bases.map((version) => factsOfVersion(tx, told, version));
  const rows = union(before.map((facts) => differences(facts, told.facts, offered ? 'all' : 'always', context.settings)));
  dropNotices(tx, rows.length === 0 ? changes : merged);
  if (rows.length === 0) return;
  // The change says all that a reminder would.
  dropNotices(tx, owed.reminders);
  const content = { ...contentFor(told, signUp, owed.party), differences: rows, offered };
  const times = { dueAt: dueAt(context, changes, edit, [...before, told.facts]), giveUpAt: giveUpAt(context.now, told.facts.gatherAt) };
  const event = `change:${signUp.id}:${told.walk.version}`;
  if (kept) rewriteNotice(tx, kept.id, content, times);
  else insertNotice(tx, context, { event, kind: 'change', to: signUp, content: { walk: content }, signUpId: signUp.id, ...times });
}

function dueAt(context: OweContext, changes: NoticeRow[], edit: OwedEdit | null, facts: WalkFacts[]): number {
  const standing = Math.max(0, ...changes.map((row) => row.dueAt));
  if (!edit) return standing;
  const holdMs = context.config.noticeHoldMs ?? context.settings.noticeHoldMs;
  const urgent = isUrgent(
    context.now,
    facts.map((one) => one.gatherAt),
  );
  const held = holdUntil(context.now, changes[0]?.createdAt ?? context.now, holdMs, urgent);
  // One that was tried already waits for its next try, too.
  return changes.some((row) => row.attempts > 0) ? Math.max(held, standing) : held;
}

/** One row a thing: against the newest version the walker may know of, and what only an older one shows. */
function union(lists: Difference[][]): Difference[] {
  const rows = new Map<string, Difference>();
  for (const row of lists.flat()) if (!rows.has(row.label)) rows.set(row.label, row);
  return [...rows.values()];
}

function factsOfVersion(tx: Tx, told: ToldWalk, version: number): WalkFacts {
  if (version === told.walk.version) return told.facts;
  const facts = factsAt(tx, told.walk.id, version);
  if (!facts) throw new Error(`version ${version} of walk ${told.walk.id} is missing`);
  return facts;
}
