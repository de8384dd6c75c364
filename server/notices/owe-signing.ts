import { and, asc, eq, isNull } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { partyMembers } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import { contentFor, type OweContext, partyNames, signatures, signUpById, toldWalk } from './compose.js';
import type { NoticeKind, WalkContent } from './content.js';
import { giveUpAt } from './due.js';
import { insertNotice } from './owed.js';
import { settleAfterAttempt } from './settle.js';

const HOUR_MS = 60 * 60 * 1000;
/** A copy of what was signed is of use after the walk, too. */
const COPY_TRIED_MS = 72 * HOUR_MS;

/** Owes an adult who was not there at the booking the link by which they read and sign. @param again asked for once more, once an hour at most */
export function oweToSign(tx: Tx, context: OweContext, { signUpId, memberId, again = false }: ToSign): void {
  const member = tx.select().from(partyMembers).where(eq(partyMembers.id, memberId)).get();
  if (!member?.email) return;
  const minors = tx
    .select({ name: partyMembers.name })
    .from(partyMembers)
    .where(and(eq(partyMembers.guardianId, memberId), isNull(partyMembers.removedAt)))
    .orderBy(asc(partyMembers.id))
    .all();
  const bookedBy = signUpById(tx, signUpId).name;
  const event = `to-sign:${memberId}:${hashed(member.email).slice(0, 12)}${again ? `:${Math.floor(context.now / HOUR_MS)}` : ''}`;
  const add = { toSign: { memberId, email: member.email, bookedBy, minors: minors.map((minor) => minor.name) } };
  oweAbout(tx, context, { kind: 'to-sign', event, signUpId, to: { name: member.name, email: member.email }, add });
}

interface ToSign {
  signUpId: number;
  memberId: number;
  again?: boolean;
}

/** Owes signers a copy of what they signed, and brings a reminder that waits in line with it; nothing where nothing was signed. */
export function oweWaiverCopy(
  tx: Tx,
  context: OweContext,
  { signUpId, waiverIds, to }: { signUpId: number; waiverIds: number[]; to: { name: string; email: string } },
): void {
  if (waiverIds.length === 0) return;
  const waivers = signatures(tx, waiverIds);
  oweAbout(tx, context, { kind: 'waiver-copy', event: `waiver-copy:${waiverIds[0]}`, signUpId, to, add: { waivers } });
  settleAfterAttempt(tx, context, signUpId);
}

/** Owes the booker the news that someone has left their party, and who went with them. */
export function oweLeft(tx: Tx, context: OweContext, signUpId: number, left: { memberId: number; names: string[] }): void {
  const { name, email } = signUpById(tx, signUpId);
  const event = `left:${left.memberId}`;
  oweAbout(tx, context, { kind: 'left', event, signUpId, to: { name, email }, add: { left: left.names } });
}

interface About {
  kind: NoticeKind;
  event: string;
  signUpId: number;
  to: { name: string; email: string };
  add: Partial<WalkContent>;
}

function oweAbout(tx: Tx, context: OweContext, { kind, event, signUpId, to, add }: About): void {
  const signUp = signUpById(tx, signUpId);
  const told = toldWalk(tx, context, signUp.walkId);
  const walk = { ...contentFor(told, signUp, partyNames(tx, signUpId)), ...add };
  const until = giveUpAt(context.now, told.facts.gatherAt);
  insertNotice(tx, context, {
    event,
    kind,
    to,
    content: { walk },
    signUpId,
    giveUpAt: kind === 'waiver-copy' ? Math.max(until, context.now + COPY_TRIED_MS) : until,
  });
}
