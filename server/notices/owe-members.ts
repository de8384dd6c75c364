import { and, asc, eq, gte, inArray, isNotNull, isNull, lt, ne, or, type SQL } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { notices, partyMembers, signUps } from '../db/schema/index.js';
import { factsAt } from '../walks/store.js';
import { contentFor, type OweContext, partiesOn, type SignUpRow, signUpById, type ToldWalk, toldWalk } from './compose.js';
import type { MemberNews, WalkContent } from './content.js';
import { differences } from './difference.js';
import { giveUpAt, holdOf, holdUntil, isUrgent } from './due.js';
import { type FormerLeader, leaderDifference } from './leader-difference.js';
import { dropNotices, insertNotice, type NoticeRow, oldestUnheard, overtakeNotices, replaceNotices, rewriteNotice } from './owed.js';

/** An adult with an address of their own in someone else's party. They hear at once, too, when date, time or place changes. */
export interface Absent {
  id: number;
  name: string;
  email: string;
  signUp: SignUpRow;
}

/** Owes the absent adults on a walk what an edit changed: one mail with the net difference where several edits come close together. */
export function oweMemberChanges(tx: Tx, context: OweContext, told: ToldWalk, edit: { offered: boolean }): void {
  const absent = absentOn(tx, told.walk.id);
  if (absent.length === 0) return;
  const parties = partiesOn(tx, told.walk.id);
  for (const member of absent) settleMember(tx, context, told, { member, party: parties.get(member.signUp.id) ?? [], edit });
}

interface Owed {
  member: Absent;
  party: string[];
  edit: { offered: boolean };
}

function settleMember(tx: Tx, context: OweContext, told: ToldWalk, { member, party, edit }: Owed): void {
  const { now, settings } = context;
  // One that may have arrived stays as it is.
  const waiting = waitingFor(tx, 'member-change', member.id).find((row) => !row.unsure);
  // One that was in flight while the address was corrected, and came back.
  const isOurs = waiting?.toEmail === member.email;
  if (waiting && !isOurs) dropNotices(tx, [waiting]);
  const row = isOurs ? waiting : undefined;
  const before = row && 'walk' in row.content ? row.content.walk : undefined;
  const since = before?.member?.since ?? told.walk.version - 1;
  const facts = factsAt(tx, told.walk.id, since);
  if (!facts) throw new Error(`version ${since} of walk ${told.walk.id} is missing`);
  const offered = edit.offered || before?.offered === true;
  const found = differences(facts, told.facts, offered ? 'all' : 'always', settings);
  if (found.length === 0) {
    dropNotices(tx, row ? [row] : []);
    return;
  }
  const hold = holdOf(context.config, settings);
  const urgent = isUrgent(now, [facts.gatherAt, told.facts.gatherAt]);
  const times = { dueAt: holdUntil(now, row?.createdAt ?? now, hold, urgent), giveUpAt: giveUpAt(now, told.facts.gatherAt) };
  const content = { ...memberContent(told, member, party, 'changed'), differences: found, offered };
  content.member = { ...content.member, since };
  if (row) rewriteNotice(tx, row, content, times);
  else insertMemberNews(tx, context, member, `member-change:${member.id}:${told.walk.version}`, content, times);
}

/**
 * Owes the absent adults on a walk the news of who leads it now; news of a change that waits carries the new leader's number, too.
 * @param failed mail about the walk that failed: news of who leads is overtaken by this
 */
export function oweMemberLeader(
  tx: Tx,
  context: OweContext,
  told: ToldWalk,
  { failed, before }: { failed: NoticeRow[]; before: FormerLeader },
): void {
  oweMemberChanges(tx, context, told, { offered: false });
  const parties = partiesOn(tx, told.walk.id);
  for (const member of absentOn(tx, told.walk.id)) {
    const ofMember = failed.filter((row) => row.event.startsWith(`member-leader:${member.id}:`));
    const overtaken = [...ofMember, ...waitingFor(tx, 'member-leader', member.id)];
    overtakeNotices(tx, overtaken, context.now);
    const difference = leaderDifference(told, oldestUnheard(overtaken)?.content, before);
    if (!difference) continue;
    const content = memberContent(told, member, parties.get(member.signUp.id) ?? [], 'changed');
    insertMemberNews(tx, context, member, `member-leader:${member.id}:${told.walk.version}`, { ...content, differences: [difference] });
  }
}

/** Owes the absent adults on a cancelled walk the news. */
export function oweMemberCancellations(tx: Tx, context: OweContext, told: ToldWalk): void {
  const parties = partiesOn(tx, told.walk.id);
  for (const member of absentOn(tx, told.walk.id)) {
    dropWaiting(tx, context, member.id);
    if (!wasAsked(tx, member.id)) continue;
    const content = memberContent(told, member, parties.get(member.signUp.id) ?? [], 'cancelled');
    insertMemberNews(tx, context, member, `member-cancelled:${member.id}:${told.walk.version}`, content);
  }
}

/** Owes an absent adult the news that the booker withdrew, or took them out of the party: nobody expects them any more. */
export function oweMemberGone(
  tx: Tx,
  context: OweContext,
  signUpId: number,
  gone: { id: number; name: string; email: string | null },
): void {
  dropWaiting(tx, context, gone.id);
  if (gone.email === null || !wasAsked(tx, gone.id)) return;
  const signUp = signUpById(tx, signUpId);
  const member = { ...gone, email: gone.email, signUp };
  insertMemberNews(
    tx,
    context,
    member,
    `member-gone:${gone.id}`,
    memberContent(toldWalk(tx, context, signUp.walkId), member, [gone.name], 'gone'),
  );
}

/** What mail to an absent adult says of the walk, and of who signed them up. */
export function memberContent(told: ToldWalk, { id, email, signUp }: Absent, party: string[], news: MemberNews) {
  return { ...contentFor(told, signUp, party), member: { memberId: id, email, bookedBy: signUp.name, news } } as WalkContent & {
    member: NonNullable<WalkContent['member']>;
  };
}

/** Its sign-up is left out of the row: it is not the booker's mail, and waits for none of theirs. */
function insertMemberNews(
  tx: Tx,
  context: OweContext,
  to: Absent,
  event: string,
  walk: WalkContent,
  times: { dueAt?: number; giveUpAt: number } = { giveUpAt: giveUpAt(context.now, walk.facts.gatherAt) },
): void {
  insertNotice(tx, context, { event, kind: 'member-news', to, content: { walk }, ...times });
}

/** The absent adults on a walk: those with an address of their own in parties that are confirmed or wait, in the order they came. */
export function absentOn(tx: Tx, walkId: number): Absent[] {
  const rows = tx
    .select({ id: partyMembers.id, name: partyMembers.name, email: partyMembers.email, signUp: signUps })
    .from(signUps)
    .innerJoin(partyMembers, eq(partyMembers.signUpId, signUps.id))
    .where(
      and(
        eq(signUps.walkId, walkId),
        inArray(signUps.state, ['confirmed', 'waiting']),
        isNotNull(partyMembers.email),
        isNull(partyMembers.removedAt),
      ),
    )
    .orderBy(asc(partyMembers.id))
    .all();
  return rows.map((row) => ({ ...row, email: row.email ?? '' }));
}

/** Whether a link to sign by has gone out to someone, or may have: whoever never heard of the walk need not hear that it is off. */
function wasAsked(tx: Tx, memberId: number): boolean {
  const gone = or(inArray(notices.state, ['sent', 'kept', 'sending']), eq(notices.unsure, true));
  return (
    tx
      .select({ id: notices.id })
      .from(notices)
      .where(and(eventsOf('to-sign', memberId), gone))
      .get() !== undefined
  );
}

/** Forgets an absent adult's address in the mail that was sent to them; what is in flight lands first. */
export function forgetMemberMail(tx: Tx, memberId: number): void {
  for (const what of ['to-sign', 'member-change', 'member-leader', 'message-member'] as const)
    tx.delete(notices)
      .where(and(eventsOf(what, memberId), ne(notices.state, 'sending')))
      .run();
}

function eventsOf(what: 'to-sign' | MemberMail, memberId: number): SQL | undefined {
  return and(gte(notices.event, `${what}:${memberId}:`), lt(notices.event, `${what}:${memberId};`));
}

/** What an absent adult gets while they are in a party: news of when and where, of who leads, and what is written to everyone. */
type MemberMail = 'member-change' | 'member-leader' | 'message-member';

/** Mail that waits for someone. */
function waitingFor(tx: Tx, what: MemberMail, memberId: number): NoticeRow[] {
  return tx
    .select()
    .from(notices)
    .where(and(eventsOf(what, memberId), eq(notices.state, 'pending')))
    .all();
}

/** What nobody needs to hear any more: news, which is not sent again where it may have arrived, and what someone wrote. */
function dropWaiting(tx: Tx, { now }: OweContext, memberId: number): void {
  const rows = (['member-change', 'member-leader'] as const).flatMap((what) => waitingFor(tx, what, memberId));
  dropNotices(
    tx,
    rows.filter((row) => !row.unsure),
  );
  replaceNotices(tx, [...rows.filter((row) => row.unsure), ...waitingFor(tx, 'message-member', memberId)], now);
}
