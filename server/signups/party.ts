import { and, asc, eq, isNull, lt, ne, sql } from 'drizzle-orm';
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

/** How many parties wait for a walk's places; with `signUp`, how many of them are ahead of it. */
export function partiesWaiting(q: Tx, walkId: number, signUp?: Pick<SignUpRow, 'id'>): number {
  const ahead = signUp ? lt(signUps.id, signUp.id) : undefined;
  return (
    q
      .select({ parties: sql<number>`count(*)` })
      .from(signUps)
      .where(and(eq(signUps.walkId, walkId), eq(signUps.state, 'waiting'), ahead))
      .get()?.parties ?? 0
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
