import { and, asc, eq, inArray } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { partyMembers, people, rollEntries, signUps, turnedUp } from '../db/schema/index.js';

/** Whom a leader can ring about someone: themself, or who booked. */
export interface Reach {
  /** Who booked; null of someone who turned up. */
  booker: string | null;
  /** E.164; '' where none is kept. */
  phone: string;
  /** The others of the same party, by `who`. */
  party: string[];
}

/** Whom to ring about somebody on a walk's roll, emergency contacts apart. Two queries. */
export function reachOf(q: Tx, walkId: number, who: string): Reach {
  const none = { booker: null, phone: '', party: [] };
  if (who.startsWith('t')) {
    const key = and(eq(turnedUp.walkId, walkId), eq(turnedUp.key, who.slice(1)));
    return { ...none, phone: q.select({ phone: turnedUp.phone }).from(turnedUp).where(key).get()?.phone ?? '' };
  }
  const signUp = q
    .select({ id: signUps.id, booker: signUps.name, phone: signUps.phone })
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .where(and(eq(partyMembers.id, Number(who.slice(1))), eq(signUps.walkId, walkId)))
    .get();
  if (!signUp) return none;
  const party = q.select({ id: partyMembers.id }).from(partyMembers).where(eq(partyMembers.signUpId, signUp.id)).all();
  return { booker: signUp.booker, phone: signUp.phone, party: party.map((one) => `m${one.id}`).filter((one) => one !== who) };
}

/** Who said each of some entries of a walk; null where they were erased or the program has no account of theirs. */
export function sayersOf(q: Tx, walkId: number, entries: readonly string[]): Map<string, string | null> {
  const rows = q
    .select({ entry: rollEntries.entry, name: people.name })
    .from(rollEntries)
    .leftJoin(people, eq(people.id, rollEntries.byPersonId))
    .where(and(eq(rollEntries.walkId, walkId), inArray(rollEntries.entry, [...entries])))
    .orderBy(asc(rollEntries.id))
    .all();
  return new Map(rows.map((row) => [row.entry, row.name]));
}
