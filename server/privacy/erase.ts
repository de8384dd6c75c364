import { and, eq, exists, inArray, sql } from 'drizzle-orm';
import { endTerm } from '../commitment/terms.js';
import { forgetSeen } from '../coverage/visits-store.js';
import type { Tx } from '../db/open.js';
import {
  auditLog,
  commitmentMails,
  erased,
  excusedMonths,
  handbookReads,
  keptContacts,
  leaders,
  notices,
  people,
  quizAttempts,
  signInLinks,
  waivers,
  waiverTraces,
  walkLeaders,
  walks,
} from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { eraseJoining } from '../joining/erase.js';
import { dropFeed } from '../leadcalendar/store.js';
import { endAllSessions } from '../people/sessions.js';
import { type PersonRow, personByEmail } from '../people/store.js';
import { deleteNotes } from '../standing/store.js';
import { blankAsks } from './blank-asks.js';
import { blankOpenings, blankSeenBy } from './blank-log.js';
import { blankInMessages, blankWrittenMessages } from './blank-messages.js';
import { blankPartyNames, blankWriter, writerOf } from './blank-notices.js';
import { blankOffers } from './blank-offers.js';
import { emptyMembers, emptySignUps, leaveParties, mentionsOf, withdrawComing } from './erase-signups.js';
import { emptyTurnedUp, turnedUpOf } from './erase-turned-up.js';
import { ERASED, erasedAddress } from './erased.js';
import { addressMark, erasureProof } from './marks.js';

/**
 * Erases whoever has an address, in the transaction it is given, and marks the address as erased. What stays of them: signed waivers,
 * with the name and without the address. Gives the walks in which places came free.
 * @param now ms: what gathers later is to come, and is withdrawn
 */
export function eraseAddress(tx: Tx, { sealer }: { sealer: Sealer }, email: string, now: number): number[] {
  const freed = emptyAddress(tx, email, now);
  markErased(tx, sealer, addressMark(sealer, email), now);
  return freed;
}

/** Writes that the holder of an address was erased. */
export function markErased(tx: Tx, sealer: Sealer, mark: string, at: number): void {
  const proof = erasureProof(sealer, mark, at);
  tx.insert(erased).values({ mark, at, proof }).onConflictDoUpdate({ target: erased.mark, set: { at, proof } }).run();
}

/**
 * The same for someone nobody has heard of for long. A mark is written only where a signature lost its address by it, so that whoever
 * verifies the signatures sees why: put back from a backup, they are forgotten again by the calendar.
 */
export function forgetAddress(tx: Tx, { sealer }: { sealer: Sealer }, email: string, now: number): void {
  const signed = tx.select({ id: waivers.id }).from(waivers).where(eq(waivers.email, email)).limit(1).get();
  emptyAddress(tx, email, now);
  if (signed) markErased(tx, sealer, addressMark(sealer, email), now);
}

function emptyAddress(tx: Tx, email: string, now: number): number[] {
  const person = personByEmail(tx, email);
  const found = mentionsOf(tx, email);
  // Found before the sign-ups are emptied: a minor may have turned up with a guardian who had signed up.
  const onTheDay = turnedUpOf(tx, email);
  tx.delete(notices).where(eq(notices.toEmail, email)).run();
  const isIn = [...found.signUps, ...found.members];
  const names = new Set([...found.names, email, ...(person ? [person.name] : []), ...onTheDay.map((one) => one.name)]);
  blankPartyNames(tx, isIn, names);
  blankInMessages(tx, [...new Set([...isIn, ...onTheDay].map((one) => one.walkId))], names);
  blankOpenings(tx, [...found.members, ...found.ownMembers]);
  const freed = [...withdrawComing(tx, found, now), ...leaveParties(tx, found, now).map((left) => left.walkId)];
  emptySignUps(
    tx,
    found.signUps.map((row) => row.signUpId),
  );
  emptyMembers(
    tx,
    found.members.map((row) => row.id),
  );
  emptyTurnedUp(
    tx,
    onTheDay.map((row) => row.id),
  );
  eraseSignatures(tx, email);
  tx.delete(signInLinks).where(eq(signInLinks.email, email)).run();
  if (person) emptyPerson(tx, person, found.ownNames, now);
  return [...new Set(freed)];
}

/** Of a signature the address goes, and from where it was typed: the rest is evidence. */
function eraseSignatures(tx: Tx, email: string): void {
  const own = tx.select({ id: waivers.id }).from(waivers).where(eq(waivers.email, email));
  tx.delete(waiverTraces).where(inArray(waiverTraces.waiverId, own)).run();
  tx.update(waivers).set({ email: '' }).where(eq(waivers.email, email)).run();
}

/** The row goes where nothing refers to it; else it stays as a number that points to nobody. */
function emptyPerson(tx: Tx, person: PersonRow, ownNames: string[], now: number): void {
  if (mayHaveWritten(tx, person)) {
    const writer = writerOf(tx, person, ownNames);
    blankWriter(tx, writer);
    blankWrittenMessages(tx, writer);
    for (const name of writer.names) blankSeenBy(tx, name);
  }
  endAllSessions(tx, person.id);
  dropFeed(tx, person.id);
  forgetSeen(tx, person.id);
  eraseJoining(tx, person.id);
  tx.delete(keptContacts).where(eq(keptContacts.personId, person.id)).run();
  tx.delete(handbookReads).where(eq(handbookReads.personId, person.id)).run();
  tx.delete(quizAttempts).where(eq(quizAttempts.personId, person.id)).run();
  deleteNotes(tx, person.id);
  tx.update(excusedMonths).set({ reason: '' }).where(eq(excusedMonths.personId, person.id)).run();
  tx.delete(commitmentMails).where(eq(commitmentMails.personId, person.id)).run();
  endTerm(tx, person.id, now);
  tx.update(leaders).set({ state: 'stood_down' }).where(eq(leaders.personId, person.id)).run();
  noLongerShares(tx, person.id, now);
  blankOffers(tx, person.id, now);
  blankAsks(tx, person.id);
  if (isGone(tx, person.id)) return;
  tx.update(people)
    .set({ name: ERASED, email: erasedAddress(people.id), phone: null, coordinator: false, disabledAt: now })
    .where(eq(people.id, person.id))
    .run();
}

/** Whether someone may have led walks, or written to everyone on one, in any part they had: what others do is not in the log. */
function mayHaveWritten(tx: Tx, { id, coordinator }: PersonRow): boolean {
  const isLeader = tx.select({ id: leaders.personId }).from(leaders).where(eq(leaders.personId, id)).get() !== undefined;
  return (
    isLeader || coordinator || tx.select({ id: auditLog.id }).from(auditLog).where(eq(auditLog.personId, id)).limit(1).get() !== undefined
  );
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
