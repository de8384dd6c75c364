import { and, asc, desc, eq, inArray, isNull, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import type { Tx } from '../db/open.js';
import { leaders, people, walkLeaders, walkOffers, walks } from '../db/schema/index.js';
import { hashed, type Sealer } from '../db/seal.js';
import type { WalkRow } from '../walks/ledby.js';
import { NAMED_WALK } from '../walks/named.js';
import { offerTokenHash } from './link.js';
import type { Candidate, OfferRow } from './rules.js';

/** Approved leaders, with whether each has led a walk that set off: those of the walk's area first, then those who are free that day, then those with the fewest walks that month. */
export function candidates(q: Tx, walk: Pick<WalkRow, 'id' | 'areaId' | 'month' | 'wallDate'>, now: number): Candidate[] {
  // CROSS JOIN keeps the order: from the month's walks to who leads them.
  return q.all<Candidate>(sql`
    SELECT p.id AS personId, p.name, a.id AS areaId, a.name AS areaName, own.part, coalesce(c.walks, 0) AS walks, coalesce(c.busy, 0) AS busy,
      s.agreement_due_at AS agreementDueAt,
      EXISTS (SELECT 1 FROM walk_leaders l JOIN walks w ON w.id = l.walk_id
        WHERE l.person_id = p.id AND l.part = 'leader' AND w.state IN ('posted', 'closed') AND w.set_off_at <= ${now}) AS hasLed
    FROM leaders s
      JOIN people p ON p.id = s.person_id
      JOIN areas a ON a.id = s.area_id
      LEFT JOIN walk_leaders own ON own.walk_id = ${walk.id} AND own.person_id = p.id
      LEFT JOIN (
        SELECT l.person_id, count(*) AS walks, sum(w.wall_date = ${walk.wallDate} AND w.id <> ${walk.id}) AS busy
        FROM walks w CROSS JOIN walk_leaders l ON l.walk_id = w.id
        WHERE w.month = ${walk.month} AND w.state IN ('posted', 'closed') GROUP BY l.person_id
      ) c ON c.person_id = p.id
    WHERE s.state = 'approved' AND p.disabled_at IS NULL
    ORDER BY a.id <> ${walk.areaId}, coalesce(c.busy, 0) > 0, coalesce(c.walks, 0), p.name, p.id`);
}

/** Who leads and shares a walk, the leader first, and whether each is still approved. */
export function partsOf(q: Tx, walkId: number) {
  return q
    .select({
      personId: people.id,
      name: people.name,
      email: people.email,
      phone: people.phone,
      part: walkLeaders.part,
      approved: sql<number>`${leaders.state} = 'approved' AND ${people.disabledAt} IS NULL`.mapWith(Boolean),
    })
    .from(walkLeaders)
    .innerJoin(people, eq(people.id, walkLeaders.personId))
    .innerJoin(leaders, eq(leaders.personId, walkLeaders.personId))
    .where(eq(walkLeaders.walkId, walkId))
    .orderBy(sql`${walkLeaders.part} = 'co-leader'`, people.name, people.id)
    .all();
}

/** Someone who leads or shares a walk. */
export type Partner = ReturnType<typeof partsOf>[number];

const [asked, asking] = [alias(people, 'asked'), alias(people, 'asking')];

function offers(q: Tx) {
  return q
    .select({
      offer: walkOffers,
      to: { personId: asked.id, name: asked.name, email: asked.email },
      by: { personId: asking.id, name: asking.name, email: asking.email },
      approved: sql<number>`${leaders.state} = 'approved' AND ${asked.disabledAt} IS NULL`.mapWith(Boolean),
      /** When the leader's agreement of who was asked is due, ms. */
      agreementDueAt: leaders.agreementDueAt,
    })
    .from(walkOffers)
    .innerJoin(asked, eq(asked.id, walkOffers.toPersonId))
    .innerJoin(asking, eq(asking.id, walkOffers.byPersonId))
    .innerJoin(leaders, eq(leaders.personId, walkOffers.toPersonId));
}

/** An offer with who was asked by whom. */
export type Offer = ReturnType<typeof openOffersOn>[number];

// Written out, not as a parameter: the index on open offers is found by these words.
const IS_OPEN = sql`${walkOffers.state} = 'open'`;

/** A walk's open offers, the oldest first. */
export function openOffersOn(q: Tx, walkId: number) {
  return offers(q)
    .where(and(eq(walkOffers.walkId, walkId), IS_OPEN))
    .orderBy(asc(walkOffers.id))
    .all();
}

/** The offers that a person has yet to answer, the oldest first. */
export function openOffersTo(q: Tx, personId: number): Offer[] {
  return offers(q)
    .where(and(eq(walkOffers.toPersonId, personId), IS_OPEN))
    .orderBy(asc(walkOffers.id))
    .all();
}

/** What a person has yet to answer, with each walk that can still be answered for, soonest first. */
export function askedOf(q: Tx, personId: number, now: number): { offer: OfferRow; by: string; walk: WalkRow }[] {
  return q
    .select({ offer: walkOffers, by: people.name, walk: walks })
    .from(walkOffers)
    .innerJoin(walks, eq(walks.id, walkOffers.walkId))
    .innerJoin(people, eq(people.id, walkOffers.byPersonId))
    .where(and(eq(walkOffers.toPersonId, personId), IS_OPEN, inArray(walks.state, ['draft', 'posted']), sql`${walks.gatherAt} > ${now}`))
    .orderBy(asc(walks.gatherAt), asc(walkOffers.id))
    .all();
}

export function offerById(q: Tx, id: number): Offer | undefined {
  return Number.isSafeInteger(id) ? offers(q).where(eq(walkOffers.id, id)).get() : undefined;
}

/** The offer that a private address answers. */
export function offerByToken(q: Tx, token: string): Offer | undefined {
  return offers(q)
    .where(eq(walkOffers.tokenHash, hashed(token)))
    .get();
}

/** Adds an offer; null where the very same one is open already. */
export function addOffer(
  tx: Tx,
  sealer: Sealer,
  offer: Pick<OfferRow, 'walkId' | 'kind' | 'toPersonId' | 'byPersonId' | 'stays' | 'note'>,
  now: number,
): OfferRow | null {
  const { walkId, kind, toPersonId } = offer;
  const same = and(eq(walkOffers.walkId, walkId), eq(walkOffers.kind, kind), eq(walkOffers.toPersonId, toPersonId), IS_OPEN);
  if (tx.select({ id: walkOffers.id }).from(walkOffers).where(same).get()) return null;
  // The number is part of what the address is worked out from, and known only now.
  const { id } = tx
    .insert(walkOffers)
    .values({ ...offer, state: 'open', tokenHash: '', createdAt: now })
    .returning({ id: walkOffers.id })
    .get();
  const tokenHash = offerTokenHash(sealer, { id, madeAt: now });
  return tx.update(walkOffers).set({ tokenHash }).where(eq(walkOffers.id, id)).returning().get();
}

/** Ends an open offer; false where it had ended already. */
export function endOffer(tx: Tx, id: number, end: { state: Exclude<OfferRow['state'], 'open'>; words?: string; now: number }): boolean {
  const { state, words = '', now } = end;
  const set = { state, words, endedAt: now };
  return (
    tx
      .update(walkOffers)
      .set(set)
      .where(and(eq(walkOffers.id, id), IS_OPEN))
      .run().changes === 1
  );
}

/** Makes someone share a walk; nothing changes where they lead or share it. */
export function addCoLeader(tx: Tx, walkId: number, personId: number): void {
  tx.insert(walkLeaders).values({ walkId, personId, part: 'co-leader' }).onConflictDoNothing().run();
}

/** Takes a co-leader off a walk; false where they do not share it. */
export function removeCoLeader(tx: Tx, walkId: number, personId: number): boolean {
  const row = and(eq(walkLeaders.walkId, walkId), eq(walkLeaders.personId, personId), eq(walkLeaders.part, 'co-leader'));
  return tx.delete(walkLeaders).where(row).run().changes === 1;
}

/** Puts a leader in another's place, within one transaction: the old one's row goes first, since a walk never has two. */
export function replaceLeader(tx: Tx, walkId: number, from: { personId: number; stays: boolean }, to: number): void {
  tx.delete(walkLeaders)
    .where(and(eq(walkLeaders.walkId, walkId), eq(walkLeaders.part, 'leader')))
    .run();
  tx.insert(walkLeaders)
    .values({ walkId, personId: to, part: 'leader' })
    .onConflictDoUpdate({ target: [walkLeaders.walkId, walkLeaders.personId], set: { part: 'leader' } })
    .run();
  if (from.stays) addCoLeader(tx, walkId, from.personId);
}

/** Whether an open offer is for a walk that has gathered. */
export function hasBegunOffers(q: Tx, now: number): boolean {
  return q.select({ id: walkOffers.id }).from(walkOffers).where(begun(now)).limit(1).get() !== undefined;
}

/** Closes the open offers of walks that have gathered: nobody needs to be told. */
export function closeBegunOffers(tx: Tx, now: number): void {
  tx.update(walkOffers).set({ state: 'closed', endedAt: now }).where(begun(now)).run();
}

function begun(now: number) {
  return and(IS_OPEN, sql`EXISTS (SELECT 1 FROM walks w WHERE w.id = ${walkOffers.walkId} AND w.gather_at <= ${now})`);
}

/** Everything somebody was asked, or asked, with its walk; the latest first. */
export function offersAbout(q: Tx, personId: number) {
  return q
    .select({
      ...NAMED_WALK,
      kind: walkOffers.kind,
      toThem: sql<number>`${walkOffers.toPersonId} = ${personId}`.mapWith(Boolean),
      note: walkOffers.note,
      words: walkOffers.words,
      stays: walkOffers.stays,
      state: walkOffers.state,
      createdAt: walkOffers.createdAt,
      endedAt: walkOffers.endedAt,
    })
    .from(walkOffers)
    .innerJoin(walks, eq(walks.id, walkOffers.walkId))
    .where(sql`(${walkOffers.toPersonId} = ${personId} OR ${walkOffers.byPersonId} = ${personId})`)
    .orderBy(desc(walkOffers.id))
    .all();
}

/** A coordinator, or whoever asks or is mailed. */
export function addressee(q: Tx, personId: number): { name: string; email: string } | undefined {
  return q
    .select({ name: people.name, email: people.email })
    .from(people)
    .where(and(eq(people.id, personId), isNull(people.disabledAt)))
    .get();
}
