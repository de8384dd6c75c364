import { and, count, eq, inArray, isNull, ne, sql } from 'drizzle-orm';
import { forgetContacts } from '../contacts/sealed.js';
import type { Tx } from '../db/open.js';
import { partyMembers, signUps } from '../db/schema/index.js';
import { heldMembers } from '../incidents/holds.js';
import { ERASED, erasedAddress } from './erased.js';

/** Where an address stands among the sign-ups. */
export interface Mentions {
  /** Sign-ups made with it. */
  signUps: { signUpId: number; walkId: number; state: 'confirmed' | 'waiting' | 'withdrawn'; gatherAt: number }[];
  /** Members of others' parties: its holder, and the minors whose guardian they are. */
  members: OthersMember[];
  /** Members of its own parties. */
  ownMembers: { id: number; walkId: number }[];
  /** Every name that goes, as it stands there, or stood in mail to it or on what it signed. */
  names: string[];
  /** Names that the holder of the address went by in mail to it, or signed with. */
  ownNames: string[];
}

interface MemberRow {
  id: number;
  walkId: number;
  name: string;
}

interface OthersMember extends MemberRow {
  signUpId: number;
  gatherAt: number;
  removedAt: number | null;
  /** False for a minor whose guardian they are. */
  isSelf: boolean;
  state: 'confirmed' | 'waiting' | 'withdrawn';
  walkState: 'draft' | 'posted' | 'cancelled' | 'closed';
}

/** Finds an address among the sign-ups. Four queries. */
export function mentionsOf(tx: Tx, email: string): Mentions {
  const own = tx.all<Mentions['signUps'][number] & { name: string }>(sql`
    SELECT s.id AS signUpId, s.walk_id AS walkId, s.state, s.name, w.gather_at AS gatherAt
    FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE s.email = ${email}`);
  const ownMembers = tx.all<MemberRow & { ownAddress: string | null }>(sql`
    SELECT m.id, s.walk_id AS walkId, m.name, m.email AS ownAddress
    FROM sign_ups s JOIN party_members m ON m.sign_up_id = s.id WHERE s.email = ${email}`);
  const members = tx.all<Omit<OthersMember, 'isSelf'> & { isSelf: number }>(sql`
    SELECT m.id, m.sign_up_id AS signUpId, s.walk_id AS walkId, m.name, m.removed_at AS removedAt, m.guardian_id IS NULL AS isSelf,
      s.state, w.state AS walkState, w.gather_at AS gatherAt
    FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id
    WHERE (m.email = ${email} OR m.guardian_id IN (SELECT id FROM party_members WHERE email = ${email})
      OR m.id IN (SELECT member_id FROM waivers WHERE email = ${email} AND member_id IS NOT NULL)) AND s.email <> ${email}`);
  // Mail to someone who signed by a link of their own keeps their own name.
  const theirs = ownMembers.filter((member) => member.ownAddress === null || member.ownAddress === email);
  // A name that was corrected since stands as it was in older mail.
  const before = tx.all<{ name: string }>(sql`
    SELECT to_name AS name FROM notices WHERE to_email = ${email} AND to_name <> '' UNION SELECT signer_name FROM waivers WHERE email = ${email}`);
  return {
    signUps: own,
    members: members.map((member) => ({ ...member, isSelf: member.isSelf === 1 })),
    ownMembers,
    names: [...own, ...theirs, ...members, ...before].map((row) => row.name),
    ownNames: before.map((row) => row.name),
  };
}

/** Withdraws sign-ups for walks to come; gives the walks in which places came free. */
export function withdrawComing(tx: Tx, { signUps: own }: Mentions, now: number): number[] {
  const coming = own.filter((row) => row.gatherAt > now && row.state !== 'withdrawn');
  for (const { signUpId } of coming) withdraw(tx, signUpId, now);
  return coming.map((row) => row.walkId);
}

/** A party that somebody has left, with the minors whose guardian they are. */
export interface LeftParty {
  signUpId: number;
  walkId: number;
  memberId: number;
  names: string[];
}

/**
 * Takes someone, and the minors whose guardian they are, out of others' parties that are to come.
 * @param withdrawEmpty withdraws a party that nobody is left in
 */
export function leaveParties(
  tx: Tx,
  { members }: Mentions,
  now: number,
  withdrawEmpty: (signUpId: number) => void = (signUpId) => withdraw(tx, signUpId, now),
): LeftParty[] {
  const leaving = members.filter((member) => member.gatherAt > now && member.removedAt === null && member.state !== 'withdrawn');
  const ids = leaving.map((member) => member.id);
  tx.update(partyMembers).set({ removedAt: now }).where(inArray(partyMembers.id, ids)).run();
  return [...new Set(leaving.map((member) => member.signUpId))].flatMap((signUpId) => {
    const theirs = leaving.filter((member) => member.signUpId === signUpId);
    const left = membersIn(tx, signUpId);
    if (left === 0) withdrawEmpty(signUpId);
    else tx.update(signUps).set({ partySize: left }).where(eq(signUps.id, signUpId)).run();
    const self = theirs.find((member) => member.isSelf) ?? theirs[0];
    return self ? [{ signUpId, walkId: self.walkId, memberId: self.id, names: theirs.map((member) => member.name) }] : [];
  });
}

function membersIn(tx: Tx, signUpId: number): number {
  const own = and(eq(partyMembers.signUpId, signUpId), isNull(partyMembers.removedAt));
  return tx.select({ left: count() }).from(partyMembers).where(own).get()?.left ?? 0;
}

function withdraw(tx: Tx, signUpId: number, now: number): void {
  tx.update(signUps)
    .set({ state: 'withdrawn', withdrawnAt: now })
    .where(and(eq(signUps.id, signUpId), ne(signUps.state, 'withdrawn')))
    .run();
}

/** Empties sign-ups and their parties: who they were, how to reach them, the links that led there. How many there were stays. */
export function emptySignUps(tx: Tx, ids: number[]): void {
  if (ids.length === 0) return;
  const members = tx.select({ id: partyMembers.id }).from(partyMembers).where(inArray(partyMembers.signUpId, ids)).all();
  emptyMembers(
    tx,
    members.map((member) => member.id),
  );
  const gone = erasedAddress(signUps.id);
  tx.update(signUps)
    .set({ name: ERASED, email: gone, phone: '', phoneTyped: '', postMark: '', tokenHash: gone })
    .where(inArray(signUps.id, ids))
    .run();
}

/** Empties members of parties, with their emergency contacts; one that an open incident holds stays sealed until that is closed. */
export function emptyMembers(tx: Tx, ids: number[]): void {
  if (ids.length === 0) return;
  const held = heldMembers(tx, ids);
  forgetContacts(
    tx,
    ids.filter((id) => !held.has(id)),
  );
  tx.update(partyMembers)
    .set({ name: ERASED, adultOn: '', email: null, signTokenHash: null, photos: false })
    .where(inArray(partyMembers.id, ids))
    .run();
}
