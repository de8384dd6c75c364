import type { Tx } from '../db/open.js';
import { hashed } from '../db/seal.js';
import { activeSignUps, contentFor, type OweContext, partiesOn, type SignUpRow, toldWalk } from './compose.js';
import type { WrittenMessage } from './content.js';
import { messageUntil } from './due.js';
import { type Absent, absentOn, memberContent } from './owe-members.js';
import { insertNotice, latestOf } from './owed.js';

const COPY_EVERY_MS = 60_000;

/** Whom a message goes to. */
export interface MessageRange {
  /** Everyone confirmed and waiting, or those confirmed only. */
  audience: 'everyone' | 'confirmed';
  /** Adults with an address of their own in others' parties, too. */
  withAbsent: boolean;
}

/** Who a message would go to now: no address twice. Two statements. */
export function messageRecipients(q: Tx, walkId: number, range: MessageRange): { signUps: SignUpRow[]; absent: Absent[] } {
  const reaches = ({ state }: SignUpRow) => range.audience === 'everyone' || state === 'confirmed';
  const signUps = activeSignUps(q, walkId).filter(reaches);
  if (!range.withAbsent) return { signUps, absent: [] };
  const taken = new Set(signUps.map(({ email }) => email));
  const absent = absentOn(q, walkId).filter(({ email, signUp }) => {
    if (!reaches(signUp) || taken.has(email)) return false;
    taken.add(email);
    return true;
  });
  return { signUps, absent };
}

/**
 * Owes what someone writes to the people of a walk, one mail to each; gives how many were owed that were not before.
 * @param mark the message's own, so that each hears it once
 */
export function oweMessage(
  tx: Tx,
  context: OweContext,
  walkId: number,
  written: MessageRange & { mark: string; message: WrittenMessage },
): number {
  const told = toldWalk(tx, context, walkId);
  const parties = partiesOn(tx, walkId);
  const { mark, message } = written;
  const owed = { kind: 'message', giveUpAt: messageUntil(context.now, told.facts.gatherAt) } as const;
  const partyOf = (signUp: SignUpRow) => parties.get(signUp.id) ?? [];
  const { signUps, absent } = messageRecipients(tx, walkId, written);
  const toSignUps = signUps.map((signUp) => {
    const walk = { ...contentFor(told, signUp, partyOf(signUp)), message };
    return insertNotice(tx, context, {
      ...owed,
      event: `message:${mark}:${signUp.id}`,
      to: signUp,
      content: { walk },
      signUpId: signUp.id,
    });
  });
  // Their sign-up is left out of the row: it is not the booker's mail, and waits for none of theirs.
  const toAbsent = absent.map((member) => {
    const walk = { ...memberContent(told, member, partyOf(member.signUp), 'message'), message };
    return insertNotice(tx, context, { ...owed, event: `message-member:${member.id}:${mark}`, to: member, content: { walk } });
  });
  return [...toSignUps, ...toAbsent].filter((id) => id !== null).length;
}

/** Owes its writer a copy of a message that has not been sent, as a walker would read it. False where the same was owed less than a minute ago. */
export function oweMessageCopy(
  tx: Tx,
  context: OweContext,
  walkId: number,
  copy: { message: WrittenMessage; to: { id: number; name: string; email: string } },
): boolean {
  const { message, to } = copy;
  const words = hashed(JSON.stringify([walkId, message.subject, message.text])).slice(0, 16);
  const same = `message-copy:${to.id}:${words}`;
  if ((latestOf(tx, same) ?? Number.NEGATIVE_INFINITY) > context.now - COPY_EVERY_MS) return false;
  const told = toldWalk(tx, context, walkId);
  const signUp = { id: 0, state: 'confirmed' as const, party: [to.name] };
  return (
    insertNotice(tx, context, {
      kind: 'message-copy',
      event: `${same}:${context.now}`,
      to,
      content: { walk: { ...told.part, signUp, message } },
      giveUpAt: messageUntil(context.now, told.facts.gatherAt),
    }) !== null
  );
}
