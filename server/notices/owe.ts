import { and, eq, gt, inArray, lt, lte, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, signUps, walks } from '../db/schema/index.js';
import { IS_POSTED } from '../walks/posted.js';
import {
  contentFor,
  type OweContext,
  partiesOn,
  partyNames,
  type SignUpRow,
  signedWith,
  signUpById,
  type ToldWalk,
  toldWalk,
} from './compose.js';
import type { NoticeKind, WalkContent } from './content.js';
import { DAY_MS, giveUpAt } from './due.js';
import { oweMemberCancellations, oweMemberChanges } from './owe-members.js';
import { insertNotice, replaceNotices, standingNotices } from './owed.js';
import { reminderPart } from './reminder-part.js';
import { settleSignUp } from './settle.js';
import { type SignUpState, statesOn } from './sign-up-state.js';
import { unsignedParts } from './unsigned.js';

export type { OweContext } from './compose.js';
export { alignLot } from './owed.js';
export { type OwedPreview, owedPreview } from './preview.js';

const HOUR_MS = 60 * 60 * 1000;

/** Owes a new sign-up its mail: that they are coming, or that they wait. With it, their copy of what they signed, and who has yet to sign. */
export function oweConfirmation(tx: Tx, context: OweContext, signUpId: number, unsigned: string[] = []): void {
  const signUp = signUpById(tx, signUpId);
  const kind = signUp.state === 'waiting' ? 'waiting' : 'confirmation';
  const waivers = signedWith(tx, signUpId);
  const add = { ...(waivers.length > 0 ? { waivers } : {}), ...(unsigned.length > 0 ? { unsigned } : {}) };
  owe(tx, context, { kind, event: `confirmation:${signUpId}`, signUp, add });
}

/** Owes a party the news that it has a place now. Mail that says it waits, if it never went out, is not sent any more. */
export function owePlaceFreed(tx: Tx, context: OweContext, signUpId: number): void {
  const waiting = standingNotices(tx, signUpId).filter((row) => row.kind === 'waiting' && row.state === 'pending' && !row.unsure);
  replaceNotices(tx, waiting, context.now);
  const signed = waiting.map((row) => ('walk' in row.content ? row.content.walk.waivers : undefined)).find((list) => list !== undefined);
  const add = signed ? { add: { waivers: signed } } : {};
  owe(tx, context, { kind: 'place-freed', event: `place-freed:${signUpId}`, signUp: signUpById(tx, signUpId), ...add });
}

/** Owes someone who withdrew the confirmation of it; whatever else they were owed about this walk is not sent any more. */
export function oweWithdrawal(tx: Tx, context: OweContext, signUpId: number): void {
  const add = replacePending(tx, context, standingNotices(tx, signUpId));
  owe(tx, context, { kind: 'withdrawal', event: `withdrawal:${signUpId}`, signUp: signUpById(tx, signUpId), add });
}

/** Owes everyone signed up for a cancelled walk the news, in place of whatever else they were owed about it. @param lot of walks cancelled together */
export function oweCancellation(tx: Tx, context: OweContext, walkId: number, lot: string | null = null): void {
  const told = toldWalk(tx, context, walkId);
  for (const { signUp, party, rows } of statesOn(tx, walkId)) {
    const add = replacePending(tx, context, rows);
    const event = `cancellation:${walkId}:${told.walk.version}:${signUp.id}`;
    owe(tx, context, { kind: 'cancellation', event, signUp, told, party, add, lot });
  }
  oweMemberCancellations(tx, context, told);
}

/** Owes everyone signed up what an edit changed. Called after the walk's new version was written, in the same transaction. */
export function oweChanges(
  tx: Tx,
  context: OweContext,
  walkId: number,
  { offered, lot = null }: { offered: boolean; lot?: string | null },
): void {
  const told = toldWalk(tx, context, walkId);
  for (const state of statesOn(tx, walkId)) settleSignUp(tx, context, told, state, { offered, lot });
  oweMemberChanges(tx, context, told, { offered });
}

/** Brings reminders that have not gone out in line with a forecast that was typed in, in the same transaction. */
export function refreshReminders(tx: Tx, context: OweContext, walkId: number): void {
  const told = toldWalk(tx, context, walkId);
  for (const state of statesOn(tx, walkId)) settleSignUp(tx, context, told, state, null);
}

/** Mails a walker their private link again, once an hour at most. */
export function oweLink(tx: Tx, context: OweContext, signUpId: number): void {
  owe(tx, context, { kind: 'link', event: `link:${signUpId}:${Math.floor(context.now / HOUR_MS)}`, signUp: signUpById(tx, signUpId) });
}

/** Owes a sign-in mail; of no use once its link has expired. */
export function oweSignIn(tx: Tx, context: OweContext, link: { linkId: number; email: string; name: string; expiresAt: number }): void {
  const { linkId, expiresAt, name, email } = link;
  const content = { signIn: { linkId, expiresAt } };
  insertNotice(tx, context, { event: `sign-in:${linkId}`, kind: 'sign-in', to: { name, email }, content, giveUpAt: expiresAt });
}

/** Owes a mail that shows whether mail works; gives its number. Asked for twice in a minute, it is one mail. */
export function oweTest(tx: Tx, context: OweContext, to: { name: string; email: string }): number {
  const event = `test:${to.email}:${Math.floor(context.now / 60_000)}`;
  const content = { test: { askedAt: context.now } };
  const id = insertNotice(tx, context, { event, kind: 'test', to, content, giveUpAt: context.now + HOUR_MS });
  return id ?? tx.select({ id: notices.id }).from(notices).where(eq(notices.event, event)).get()?.id ?? 0;
}

/**
 * Owes the reminders that have come due: walks that gather within a day, to everyone who signed up before that. Whoever was told
 * when and where within that day needs no reminder. Gives how many were owed.
 * @param onFault told of a walk whose reminders could not be made; the others are owed all the same
 */
export function oweReminders(tx: Tx, context: OweContext, onFault: (error: unknown, walkId: number) => void = rethrow): number {
  const byWalk = new Map<number, SignUpRow[]>();
  for (const signUp of dueReminders(tx, context.now)) byWalk.set(signUp.walkId, [...(byWalk.get(signUp.walkId) ?? []), signUp]);
  let owed = 0;
  for (const [walkId, due] of byWalk) {
    try {
      owed += remind(tx, context, walkId, due);
    } catch (error) {
      onFault(error, walkId);
    }
  }
  return owed;
}

function rethrow(error: unknown): never {
  throw error;
}

function remind(tx: Tx, context: OweContext, walkId: number, due: SignUpRow[]): number {
  const told = toldWalk(tx, context, walkId);
  const add = reminderPart(tx, context, told);
  const parties = partiesOn(tx, walkId);
  const unsigned = unsignedParts(tx, context, walkId);
  for (const signUp of due) {
    const event = `reminder:${signUp.id}:${told.facts.date}`;
    owe(tx, context, {
      kind: 'reminder',
      event,
      signUp,
      told,
      party: parties.get(signUp.id) ?? [],
      add: { ...add, ...unsigned.get(signUp.id) },
    });
  }
  return due.length;
}

/** Sign-ups whose reminder has come due, and was not owed yet. */
function dueReminders(tx: Tx, now: number): SignUpRow[] {
  return tx
    .select({ signUp: signUps })
    .from(walks)
    .innerJoin(signUps, eq(signUps.walkId, walks.id))
    .where(
      and(
        IS_POSTED,
        gt(walks.gatherAt, now),
        lte(walks.gatherAt, now + DAY_MS),
        inArray(signUps.state, ['confirmed', 'waiting']),
        lt(signUps.createdAt, sql`${walks.gatherAt} - ${DAY_MS}`),
        sql`NOT EXISTS (SELECT 1 FROM notices n WHERE n.event = 'reminder:' || ${signUps.id} || ':' || ${walks.wallDate})`,
        sql`NOT EXISTS (SELECT 1 FROM notices n WHERE n.sign_up_id = ${signUps.id} AND n.kind IN ('change', 'place-freed')
          AND n.state IN ('pending', 'sending', 'sent', 'kept') AND n.created_at >= ${walks.gatherAt} - ${DAY_MS})`,
      ),
    )
    .all()
    .map((row) => row.signUp);
}

interface Owed {
  kind: NoticeKind;
  event: string;
  signUp: SignUpRow;
  told?: ToldWalk;
  party?: string[];
  add?: Pick<WalkContent, 'waivers' | 'day' | 'weather' | 'unsigned'>;
  lot?: string | null;
}

/** Writes one notice about a walk, due at once. */
function owe(tx: Tx, context: OweContext, owed: Owed): void {
  const { kind, event, signUp, add } = owed;
  const told = owed.told ?? toldWalk(tx, context, signUp.walkId);
  const walk = { ...contentFor(told, signUp, owed.party ?? partyNames(tx, signUp.id)), ...add };
  insertNotice(tx, context, {
    event,
    kind,
    to: signUp,
    content: { walk },
    signUpId: signUp.id,
    giveUpAt: giveUpAt(context.now, told.facts.gatherAt),
    lot: owed.lot ?? null,
  });
}

/**
 * Whatever still waits for this sign-up is overtaken; what is in flight is left to land first. A copy of what was signed goes all the
 * same: with what comes instead, where it would have come with mail that does not go any more.
 */
function replacePending(tx: Tx, context: OweContext, rows: SignUpState['rows']): Pick<WalkContent, 'waivers'> {
  const pending = rows.filter((row) => row.state === 'pending' && row.kind !== 'waiver-copy');
  replaceNotices(tx, pending, context.now);
  const waivers = pending.filter((row) => !row.unsure).flatMap((row) => ('walk' in row.content ? (row.content.walk.waivers ?? []) : []));
  return waivers.length > 0 ? { waivers } : {};
}
