import { and, asc, eq, isNull, lte, ne, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { partyMembers, signUps } from '../db/schema/index.js';
import { signedBy } from '../waivers/store.js';
import type { SignUpRow } from './store.js';

/** The people of a party who are still in it, with whether each has a waiver in force. */
export function partyOf(q: Tx, signUp: Pick<SignUpRow, 'id' | 'email'>) {
  const members = q
    .select({ id: partyMembers.id, name: partyMembers.name })
    .from(partyMembers)
    .where(and(eq(partyMembers.signUpId, signUp.id), isNull(partyMembers.removedAt)))
    .orderBy(asc(partyMembers.id))
    .all();
  const signed = signedBy(q, [signUp]);
  return members.map((member) => ({ ...member, waiver: signed(signUp.email, member.name) }));
}

/** Where a waiting party stands in the line: 1 is next. */
export function placeInLine(q: Tx, signUp: SignUpRow): number {
  return (
    q
      .select({ place: sql<number>`count(*)` })
      .from(signUps)
      .where(and(eq(signUps.walkId, signUp.walkId), eq(signUps.state, 'waiting'), lte(signUps.id, signUp.id)))
      .get()?.place ?? 1
  );
}

/** Everyone signed up for a walk, party by party: confirmed first, then waiting in line. Three queries whatever the number. */
export function partiesOf(q: Tx, walkId: number) {
  const rows = q
    .select()
    .from(signUps)
    .where(and(eq(signUps.walkId, walkId), ne(signUps.state, 'withdrawn')))
    .orderBy(asc(signUps.id))
    .all();
  const members = q
    .select({ id: partyMembers.id, signUpId: partyMembers.signUpId, name: partyMembers.name })
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .where(and(eq(signUps.walkId, walkId), ne(signUps.state, 'withdrawn'), isNull(partyMembers.removedAt)))
    .orderBy(asc(partyMembers.id))
    .all();
  const signed = signedBy(q, rows);
  return rows.map((row) => ({
    ...row,
    members: members
      .filter((member) => member.signUpId === row.id)
      .map((member) => ({ ...member, waiver: signed(row.email, member.name) })),
  }));
}
