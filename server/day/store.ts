import { and, asc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { rollEntries, turnedUp } from '../db/schema/index.js';
import { underGuardians } from '../signups/minors.js';
import { partiesOf } from '../signups/party.js';
import type { Moment } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import type { Entry } from './ledger.js';

/** Someone on the roll. */
export interface OnRoll {
  /** "m12" a party member, "tKEY" someone who turned up. */
  who: string;
  name: string;
  minor: boolean;
  /** Of a minor: whom they are with; null where nobody is known. */
  guardianName: string | null;
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

/** Everyone on a walk's roll: confirmed parties in the order they signed up, minors under their guardians, then those who turned up. Five queries. */
export function rosterOf(q: Tx, walk: Pick<WalkRow, 'id'>, moment: Moment): OnRoll[] {
  const members = partiesOf(q, walk.id, moment)
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) => underGuardians(party.members))
    .map((member) => ({
      who: `m${member.id}`,
      name: member.name,
      minor: member.isMinor,
      guardianName: member.guardianName,
      waiver: member.waiver,
    }));
  const extra = q.select().from(turnedUp).where(eq(turnedUp.walkId, walk.id)).orderBy(asc(turnedUp.id)).all();
  const names = new Map([...members, ...extra.map((one) => ({ who: `t${one.key}`, name: one.name }))].map((one) => [one.who, one.name]));
  return [
    ...members,
    ...extra.map((one) => ({
      who: `t${one.key}`,
      name: one.name,
      minor: one.minor,
      guardianName: names.get(one.guardian) ?? null,
      waiver: one.waiverId !== null,
    })),
  ];
}

/** A walk's entries in the order they were heard. */
export function entriesOf(q: Tx, walkId: number): KeptEntry[] {
  return q.select().from(rollEntries).where(eq(rollEntries.walkId, walkId)).orderBy(asc(rollEntries.id)).all();
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
