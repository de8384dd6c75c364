import { and, count, eq, inArray, isNull, ne, sql } from 'drizzle-orm';
import { forgetContacts } from '../contacts/sealed.js';
import type { Tx } from '../db/open.js';
import { partyMembers, signUps } from '../db/schema/index.js';
import { ERASED, erasedAddress } from './erased.js';

/** Where an address stands among the sign-ups. */
export interface Mentions {
  /** Sign-ups made with it. */
  signUps: { signUpId: number; walkId: number; state: 'confirmed' | 'waiting' | 'withdrawn'; gatherAt: number }[];
  /** Members of others' parties: its holder, and the minors whose guardian they are. */
  members: { id: number; signUpId: number; walkId: number; gatherAt: number }[];
  /** Members of its own parties. */
  ownMembers: { id: number; walkId: number }[];
  /** Every name that goes, as it stands there. */
  names: string[];
}

interface MemberRow {
  id: number;
  signUpId: number;
  walkId: number;
  gatherAt: number;
  name: string;
}

/** Finds an address among the sign-ups. Three queries. */
export function mentionsOf(tx: Tx, email: string): Mentions {
  const own = tx.all<Mentions['signUps'][number] & { name: string }>(sql`
    SELECT s.id AS signUpId, s.walk_id AS walkId, s.state, s.name, w.gather_at AS gatherAt
    FROM sign_ups s JOIN walks w ON w.id = s.walk_id WHERE s.email = ${email}`);
  const ownMembers = tx.all<MemberRow & { ownAddress: string | null }>(sql`
    SELECT m.id, m.sign_up_id AS signUpId, s.walk_id AS walkId, m.name, m.email AS ownAddress
    FROM sign_ups s JOIN party_members m ON m.sign_up_id = s.id WHERE s.email = ${email}`);
  const members = tx.all<MemberRow>(sql`
    SELECT m.id, m.sign_up_id AS signUpId, s.walk_id AS walkId, m.name, w.gather_at AS gatherAt
    FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id
    WHERE (m.email = ${email} OR m.guardian_id IN (SELECT id FROM party_members WHERE email = ${email})) AND s.email <> ${email}`);
  // Mail to someone who signed by a link of their own keeps their own name.
  const theirs = ownMembers.filter((member) => member.ownAddress === null || member.ownAddress === email);
  return { signUps: own, members, ownMembers, names: [...own, ...theirs, ...members].map((row) => row.name) };
}

/** Withdraws sign-ups for walks to come; gives the walks in which places came free. */
export function withdrawComing(tx: Tx, { signUps: own }: Mentions, now: number): number[] {
  const coming = own.filter((row) => row.gatherAt > now && row.state !== 'withdrawn');
  for (const { signUpId } of coming) withdraw(tx, signUpId, now);
  return coming.map((row) => row.walkId);
}

/** Takes someone, and the minors whose guardian they are, out of others' parties that are to come; gives the walks in which places came free. */
export function leaveParties(tx: Tx, { members }: Mentions, now: number): number[] {
  const coming = members.filter((member) => member.gatherAt > now);
  for (const { id } of coming)
    tx.update(partyMembers)
      .set({ removedAt: now })
      .where(and(eq(partyMembers.id, id), isNull(partyMembers.removedAt)))
      .run();
  for (const signUpId of new Set(coming.map((member) => member.signUpId))) {
    const left = membersIn(tx, signUpId);
    if (left === 0) withdraw(tx, signUpId, now);
    else tx.update(signUps).set({ partySize: left }).where(eq(signUps.id, signUpId)).run();
  }
  return coming.map((member) => member.walkId);
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

/** Empties members of parties, with their emergency contacts. */
export function emptyMembers(tx: Tx, ids: number[]): void {
  if (ids.length === 0) return;
  forgetContacts(tx, ids);
  tx.update(partyMembers)
    .set({ name: ERASED, adultOn: '', email: null, signTokenHash: null, photos: false })
    .where(inArray(partyMembers.id, ids))
    .run();
}

/** Why emergency details were opened may say what happened to whom: it goes where it is about nobody else. */
export function blankOpenings(tx: Tx, { members, ownMembers }: Mentions): void {
  const all = [...members, ...ownMembers];
  const ids = JSON.stringify(all.map((member) => member.id));
  for (const walkId of new Set(all.map((member) => member.walkId)))
    tx.run(sql`
      UPDATE audit_log SET detail = json_set(detail, '$.why', ${ERASED})
      WHERE subject = ${`walk:${walkId}`} AND json_type(detail, '$.why') = 'text' AND json_type(detail, '$.members') = 'array'
        AND NOT EXISTS (SELECT 1 FROM json_each(detail, '$.members') AS m WHERE m.value NOT IN (SELECT value FROM json_each(${ids})))`);
}
