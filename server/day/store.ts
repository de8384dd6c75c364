import { and, asc, eq, gt, isNotNull, ne, or, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { partyMembers, rollEntries, signUps, turnedUp } from '../db/schema/index.js';
import { isMinorOn, underGuardians } from '../signups/minors.js';
import { partiesOf } from '../signups/party.js';
import type { Moment } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { CLOSING_DEVICE } from './closing-rules.js';
import type { Entry } from './ledger.js';

/** Someone on the roll. */
export interface OnRoll {
  /** "m12" a party member, "tKEY" someone who turned up. */
  who: string;
  name: string;
  minor: boolean;
  /** Of a minor: whom they are with; null where nobody is known. */
  guardianName: string | null;
  /** Of a minor: the same by `who`. */
  guardian: string | null;
  /** Not signed up for a place any more, or still waiting for one; on the roll all the same, since a leader said something of them. */
  withoutPlace: boolean;
  /** Whether a waiver is in force for them. */
  waiver: boolean;
}

/** An entry as it is kept. */
export interface KeptEntry extends Entry {
  device: string;
  deviceAt: number;
  sentAt: number;
  receivedAt: number;
  byPersonId: number | null;
}

/**
 * Everyone on a walk's roll: confirmed parties in the order they signed up, minors under their guardians; then whoever has no place but was
 * seen by a leader, since someone who withdraws on the way must not vanish from the count; then those who turned up. Six queries.
 */
export function rosterOf(q: Tx, walk: Pick<WalkRow, 'id' | 'wallDate'>, moment: Moment): OnRoll[] {
  const members = partiesOf(q, walk.id, moment)
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) => underGuardians(party.members))
    .map((member) => ({
      who: `m${member.id}`,
      name: member.name,
      minor: member.isMinor,
      guardianName: member.guardianName,
      guardian: member.isMinor && member.guardianId !== null ? `m${member.guardianId}` : null,
      withoutPlace: false,
      waiver: member.waiver,
    }));
  const known = new Set(members.map((member) => member.who));
  const seen = seenWithoutPlace(q, walk).filter((one) => !known.has(one.who));
  const extra = q.select().from(turnedUp).where(eq(turnedUp.walkId, walk.id)).orderBy(asc(turnedUp.id)).all();
  const names = new Map(
    [...members, ...seen, ...extra.map((one) => ({ who: `t${one.key}`, name: one.name }))].map((one) => [one.who, one.name]),
  );
  return [
    ...members,
    ...seen.map((one) => ({ ...one, guardianName: one.guardian === null ? null : (names.get(one.guardian) ?? null) })),
    ...extra.map((one) => ({
      who: `t${one.key}`,
      name: one.name,
      minor: one.minor,
      guardianName: names.get(one.guardian) ?? null,
      guardian: one.guardian === '' ? null : one.guardian,
      withoutPlace: false,
      waiver: one.waiverId !== null,
    })),
  ];
}

/** Party members of a walk who have no place on it, or none any more, but stand in its roll. */
function seenWithoutPlace(q: Tx, walk: Pick<WalkRow, 'id' | 'wallDate'>) {
  const onRoll = sql`EXISTS (SELECT 1 FROM roll_entries said WHERE said.walk_id = ${walk.id} AND said.who = 'm' || ${partyMembers.id})`;
  return q
    .select({
      id: partyMembers.id,
      name: partyMembers.name,
      minor: partyMembers.minor,
      adultOn: partyMembers.adultOn,
      guardianId: partyMembers.guardianId,
    })
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .where(and(eq(signUps.walkId, walk.id), or(sql`${signUps.state} <> 'confirmed'`, isNotNull(partyMembers.removedAt)), onRoll))
    .orderBy(asc(partyMembers.id))
    .all()
    .map(({ id, name, guardianId, ...age }) => {
      const minor = isMinorOn(age, walk.wallDate);
      return {
        who: `m${id}`,
        name,
        minor,
        guardian: minor && guardianId !== null ? `m${guardianId}` : null,
        withoutPlace: true,
        waiver: false,
      };
    });
}

/** Whoever an entry may be about, by `who`: every party member of the walk, also those who withdrew since the phone last heard, and those who turned up. Two queries. */
export function knownOn(q: Tx, walkId: number): Set<string> {
  const members = q
    .select({ id: partyMembers.id })
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .where(eq(signUps.walkId, walkId))
    .all();
  const extra = q.select({ key: turnedUp.key }).from(turnedUp).where(eq(turnedUp.walkId, walkId)).all();
  return new Set([...members.map((one) => `m${one.id}`), ...extra.map((one) => `t${one.key}`)]);
}

/** Puts people who turned up on the roll, by name; a key that is there already changes nothing. */
export function addTurnedUp(
  tx: Tx,
  walkId: number,
  people: readonly { key: string; name: string; email?: string }[],
  by: { personId: number; now: number },
): void {
  for (const { key, name, email = '' } of people)
    tx.insert(turnedUp)
      .values({ walkId, key, name, email, addedAt: by.now, addedBy: by.personId })
      .onConflictDoNothing({ target: [turnedUp.walkId, turnedUp.key] })
      .run();
}

/** A walk's entries in the order they were heard. */
export function entriesOf(q: Tx, walkId: number): KeptEntry[] {
  return q.select().from(rollEntries).where(eq(rollEntries.walkId, walkId)).orderBy(asc(rollEntries.id)).all();
}

/** How many of a walk's entries came after it was closed; what is put right on the closing page is none. */
export function lateCount(q: Tx, walkId: number, closedAt: number): number {
  const late = and(eq(rollEntries.walkId, walkId), gt(rollEntries.receivedAt, closedAt), ne(rollEntries.device, CLOSING_DEVICE));
  return q.select({ count: sql<number>`count(*)` }).from(rollEntries).where(late).get()?.count ?? 0;
}

/** Keeps entries; one whose id is there already changes nothing. */
export function keepEntries(tx: Tx, walkId: number, entries: KeptEntry[]): void {
  for (const entry of entries)
    tx.insert(rollEntries)
      .values({ ...entry, after: [...entry.after], walkId })
      .onConflictDoNothing({ target: [rollEntries.walkId, rollEntries.entry] })
      .run();
}

/** When something was said, by our clock, ms: how long before it was sent is taken from the phone, whose clock may be wrong but runs evenly. Pure. */
export function heardAt({ deviceAt, sentAt, receivedAt }: Pick<KeptEntry, 'deviceAt' | 'sentAt' | 'receivedAt'>): number {
  return receivedAt - Math.max(0, sentAt - deviceAt);
}

/** Someone who turned up, by the phone's key for them. */
export function turnedUpBy(q: Tx, walkId: number, key: string) {
  return q
    .select()
    .from(turnedUp)
    .where(and(eq(turnedUp.walkId, walkId), eq(turnedUp.key, key)))
    .get();
}
