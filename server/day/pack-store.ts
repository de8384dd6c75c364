import { and, asc, desc, eq, gt, isNull, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { emergencyContacts, packs, partyMembers, signUps, turnedUp } from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import type { partiesOf } from '../signups/party.js';
import type { WalkRow } from '../walks/ledby.js';
import type { Choice } from './pack.js';
import { type PackRow, packRows } from './pack-rows.js';

/** A pack that was made, newest of those read. */
export type MadePack = typeof packs.$inferSelect;

/** So many packs of a walk are looked at: the newest. A part printed before them is not warned of any more. */
const MOST_MADE = 50;

/** Everyone on a walk's printed lists, where its parties have been read. One query. */
export function listOf(q: Tx, walkId: number, parties: ReturnType<typeof partiesOf>): PackRow[] {
  const extra = q.select().from(turnedUp).where(eq(turnedUp.walkId, walkId)).orderBy(asc(turnedUp.id)).all();
  const named = packRows(parties, []);
  const names = new Map([
    ...named.map(({ who, name }) => [who, name] as const),
    ...extra.map(({ key, name }) => [`t${key}`, name] as const),
  ]);
  return packRows(
    parties,
    extra.map((one) => ({
      who: `t${one.key}`,
      name: one.name,
      minor: one.minor,
      guardianName: names.get(one.guardian) ?? null,
      waiver: one.waiverId !== null,
      phone: one.phone,
    })),
  );
}

/** How a list stands, without names: who and whether they have signed, and a keyed digest of what else is printed of them. */
export function listDigest(sealer: Sealer, rows: PackRow[]): Pick<MadePack, 'list' | 'digest'> {
  const said = rows.map(({ who, name, under, phone, phoneOf, photos }) => [who, name, under, phone, phoneOf, photos]);
  return {
    list: Object.fromEntries(rows.map(({ who, waiver }) => [who, waiver ? 1 : 0])),
    digest: sealer.derive('day pack', JSON.stringify(said.sort((a, b) => (String(a[0]) < String(b[0]) ? -1 : 1)))),
  };
}

interface Making {
  walk: Pick<WalkRow, 'id' | 'version'>;
  by: number;
  at: number;
  choice: Choice;
  contacts: boolean;
  rows: PackRow[];
}

/** Keeps that a pack was made, with the walk and the list as they stand. */
export function keepPack(tx: Tx, sealer: Sealer, { walk, by, at, choice, contacts, rows }: Making): void {
  const made = { walkId: walk.id, version: walk.version, at, byPersonId: by, parts: choice.parts, contacts };
  tx.insert(packs)
    .values({ ...made, ...listDigest(sealer, rows) })
    .run();
}

/** The packs made of a walk, the newest first. */
export function packsOf(q: Tx, walkId: number): MadePack[] {
  return q.select().from(packs).where(eq(packs.walkId, walkId)).orderBy(desc(packs.id)).limit(MOST_MADE).all();
}

/** When the emergency contact of each person confirmed on a walk was last given, ms, where that is after `since`. Opens none. */
export function contactsGivenSince(q: Tx, walkId: number, since: number): number[] {
  return q
    .select({ at: emergencyContacts.createdAt })
    .from(signUps)
    .innerJoin(partyMembers, eq(partyMembers.signUpId, signUps.id))
    .innerJoin(emergencyContacts, eq(emergencyContacts.memberId, partyMembers.id))
    .where(
      and(
        eq(signUps.walkId, walkId),
        sql`${signUps.state} = 'confirmed'`,
        isNull(partyMembers.removedAt),
        gt(emergencyContacts.createdAt, since),
      ),
    )
    .all()
    .map((row) => row.at);
}
