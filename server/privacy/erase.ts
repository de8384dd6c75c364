import { and, eq, exists, inArray, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import {
  erased,
  excusedMonths,
  keptContacts,
  leaders,
  notices,
  people,
  signInLinks,
  waivers,
  waiverTraces,
  walkLeaders,
  walks,
} from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { endAllSessions } from '../people/sessions.js';
import { type PersonRow, personByEmail } from '../people/store.js';
import { blankPartyNames, blankWriter } from './blank-notices.js';
import { blankOpenings, emptyMembers, emptySignUps, leaveParties, mentionsOf, withdrawComing } from './erase-signups.js';
import { ERASED, erasedAddress } from './erased.js';
import { addressMark } from './marks.js';

/**
 * Erases whoever has an address, in the transaction it is given, and marks the address as erased. What stays of them: signed waivers,
 * with the name and without the address. Gives the walks in which places came free.
 * @param now ms: what gathers later is to come, and is withdrawn
 */
export function eraseAddress(tx: Tx, { sealer }: { sealer: Sealer }, email: string, now: number): number[] {
  const freed = emptyAddress(tx, email, now);
  tx.insert(erased)
    .values({ mark: addressMark(sealer, email), at: now })
    .onConflictDoUpdate({ target: erased.mark, set: { at: now } })
    .run();
  return freed;
}

/** The same without the mark, for someone nobody has heard of for long: put back from a backup, they are forgotten again by the calendar. */
export function emptyAddress(tx: Tx, email: string, now: number): number[] {
  const person = personByEmail(tx, email);
  const found = mentionsOf(tx, email);
  tx.delete(notices).where(eq(notices.toEmail, email)).run();
  const signUpIds = [...found.signUps, ...found.members].map((row) => row.signUpId);
  blankPartyNames(tx, [...new Set(signUpIds)], new Set([...found.names, ...(person ? [person.name] : [])]));
  blankOpenings(tx, found);
  const freed = [...withdrawComing(tx, found, now), ...leaveParties(tx, found, now)];
  emptySignUps(
    tx,
    found.signUps.map((row) => row.signUpId),
  );
  emptyMembers(
    tx,
    found.members.map((row) => row.id),
  );
  eraseSignatures(tx, email);
  tx.delete(signInLinks).where(eq(signInLinks.email, email)).run();
  if (person) erasePerson(tx, person, now);
  return [...new Set(freed)];
}

/** Of a signature the address goes, and from where it was typed: the rest is evidence. */
function eraseSignatures(tx: Tx, email: string): void {
  const own = tx.select({ id: waivers.id }).from(waivers).where(eq(waivers.email, email));
  tx.delete(waiverTraces).where(inArray(waiverTraces.waiverId, own)).run();
  tx.update(waivers).set({ email: '' }).where(eq(waivers.email, email)).run();
}

/** The row goes where nothing refers to it; else it stays as a number that points to nobody. */
function erasePerson(tx: Tx, person: PersonRow, now: number): void {
  const isLeader = tx.select({ id: leaders.personId }).from(leaders).where(eq(leaders.personId, person.id)).get() !== undefined;
  if (isLeader || person.coordinator) blankWriter(tx, person);
  endAllSessions(tx, person.id);
  tx.delete(keptContacts).where(eq(keptContacts.personId, person.id)).run();
  tx.update(excusedMonths).set({ reason: '' }).where(eq(excusedMonths.personId, person.id)).run();
  tx.update(leaders).set({ state: 'stood_down' }).where(eq(leaders.personId, person.id)).run();
  noLongerShares(tx, person.id, now);
  if (isGone(tx, person.id)) return;
  tx.update(people)
    .set({ name: ERASED, email: erasedAddress(people.id), phone: null, coordinator: false, disabledAt: now })
    .where(eq(people.id, person.id))
    .run();
}

function noLongerShares(tx: Tx, personId: number, now: number): void {
  const coming = tx
    .select({ one: sql`1` })
    .from(walks)
    .where(and(eq(walks.id, walkLeaders.walkId), sql`${walks.gatherAt} > ${now}`));
  tx.delete(walkLeaders)
    .where(and(eq(walkLeaders.personId, personId), eq(walkLeaders.part, 'co-leader'), exists(coming)))
    .run();
}

/** Tries to delete a person's row: the foreign keys know best whether anything refers to it. */
function isGone(tx: Tx, personId: number): boolean {
  try {
    tx.delete(people).where(eq(people.id, personId)).run();
    return true;
  } catch (error) {
    if (codeOf(error) === 'SQLITE_CONSTRAINT_FOREIGNKEY') return false;
    throw error;
  }
}

function codeOf(error: unknown): unknown {
  const { code, cause } = error as { code?: unknown; cause?: { code?: unknown } };
  return code ?? cause?.code;
}
