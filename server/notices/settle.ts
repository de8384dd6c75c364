import type { Tx } from '../db/open.js';
import { contentFor, type OweContext, signUpById, type ToldWalk, toldWalk } from './compose.js';
import type { WalkContent } from './content.js';
import { DAY_MS, giveUpAt, holdOf, holdUntil, isUrgent } from './due.js';
import type { Plan } from './net.js';
import { netDifferences, planOf, toldFacts, wasOffered } from './net-change.js';
import { dropNotices, hastenNotices, insertNotice, type NoticeRow, replaceNotices, rewriteNotice } from './owed.js';
import { reminderPart } from './reminder-part.js';
import { type SignUpState, stateOf } from './sign-up-state.js';
import { unsignedPart } from './unsigned.js';

/** An edit that is owed to a sign-up; `offered`: with what a leader may choose to tell. */
export interface OwedEdit {
  offered: boolean;
  /** What the edit owes one address for several walks goes as one mail; null: each walk's news is a mail of its own. */
  lot: string | null;
}

/**
 * Brings a sign-up's open notices in line with the walk as it stands: after an edit (`edit`), and after every attempt that ended.
 * Doing it twice changes nothing.
 */
export function settleSignUp(tx: Tx, context: OweContext, told: ToldWalk, state: SignUpState, edit: OwedEdit | null): void {
  const { signUp, rows } = state;
  if (rows.length === 0 && !edit) return;
  const plan = planOf(tx, told, state);
  const some = (ids: number[]) => rows.filter((row) => ids.includes(row.id));
  replaceNotices(tx, some(plan.replace), context.now);
  for (const row of some(plan.rewrite)) bringUpToDate(tx, context, told, row, state);
  const before = toldFacts(tx, told, plan);
  const urgent = isUrgent(
    context.now,
    [told.facts, ...before].map((facts) => facts.gatherAt),
  );
  settleChange(tx, context, told, { state, plan, edit, urgent });
  // News for today can't wait for the next try of what stands before it.
  if (edit && urgent) hastenNotices(tx, signUp.id, context.now);
}

/** The same for one sign-up by its number. */
export function settleAfterAttempt(tx: Tx, context: OweContext, signUpId: number): void {
  const told = toldWalk(tx, context, signUpById(tx, signUpId).walkId);
  settleSignUp(tx, context, told, stateOf(tx, signUpId), null);
}

/** A notice that never went out says what is true now; a reminder whose day has moved away is owed anew when its day comes. */
function bringUpToDate(tx: Tx, context: OweContext, told: ToldWalk, row: NoticeRow, { signUp, party }: SignUpState): void {
  const { gatherAt, date } = told.facts;
  const { weather: _, unsigned: __, ...before } = 'walk' in row.content ? row.content.walk : ({} as Partial<WalkContent>);
  const isReminder = row.kind === 'reminder';
  if (isReminder && (before.facts?.date !== date || gatherAt - context.now > DAY_MS)) {
    dropNotices(tx, [row]);
    return;
  }
  const content = {
    ...before,
    ...contentFor(told, signUp, party),
    ...(isReminder ? { ...reminderPart(tx, context, told), ...unsignedPart(tx, context, signUp) } : {}),
  };
  rewriteNotice(tx, row, content, { dueAt: row.dueAt, giveUpAt: giveUpAt(context.now, gatherAt) });
}

interface OwedChange {
  state: SignUpState;
  plan: Plan;
  edit: OwedEdit | null;
  urgent: boolean;
}

/** Keeps one pending change notice with the net difference, or none where there is no difference left. */
function settleChange(tx: Tx, context: OweContext, told: ToldWalk, owed: OwedChange): void {
  const { plan, edit } = owed;
  const { signUp, party, rows } = owed.state;
  const changes = rows.filter((row) => plan.changes.includes(row.id));
  const [kept, ...merged] = changes;
  if (!kept && !edit) return;
  const offered = edit?.offered === true || wasOffered(plan, rows);
  const differences = netDifferences(tx, told, plan, offered, context.settings);
  dropNotices(tx, differences.length === 0 ? changes : merged);
  if (differences.length === 0) return;
  // The change says all that a reminder would; one that may have arrived stays, to go again as it was.
  dropNotices(
    tx,
    rows.filter((row) => row.kind === 'reminder' && row.state === 'pending' && !row.unsure),
  );
  const content = { ...contentFor(told, signUp, party), differences, offered };
  // An attempt that failed gives no more time: only an edit begins anew.
  const until = kept && !edit ? kept.giveUpAt : giveUpAt(context.now, told.facts.gatherAt);
  // News that a later edit is merged into goes with that edit's, or alone: it says more than the others of its lot.
  const lot = edit ? { lot: edit.lot } : {};
  const times = { ...lot, dueAt: dueAt(context, changes, edit, owed.urgent), giveUpAt: until };
  const event = `change:${signUp.id}:${told.walk.version}`;
  if (kept) rewriteNotice(tx, kept, content, times);
  else insertNotice(tx, context, { event, kind: 'change', to: signUp, content: { walk: content }, signUpId: signUp.id, ...times });
}

function dueAt(context: OweContext, changes: NoticeRow[], edit: OwedEdit | null, urgent: boolean): number {
  const standing = Math.max(0, ...changes.map((row) => row.dueAt));
  if (!edit) return standing;
  const holdMs = holdOf(context.config, context.settings);
  const held = holdUntil(context.now, changes[0]?.createdAt ?? context.now, holdMs, urgent);
  // One that was tried already waits for its next try, too.
  return changes.some((row) => row.attempts > 0) ? Math.max(held, standing) : held;
}
