import { and, asc, eq, inArray, type SQL, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import type { Tx } from '../db/open.js';
import { areas, askLetters, asks, leaders, people } from '../db/schema/index.js';
import { hashed, type Sealer } from '../db/seal.js';
import { askTokenHash } from './link.js';
import type { PostedBy } from './rules.js';

const [asked, asking] = [alias(people, 'asked'), alias(people, 'asking')];

const IS_APPROVED = sql<number>`${leaders.state} = 'approved' AND ${asked.disabledAt} IS NULL`.mapWith(Boolean);

function rows(q: Tx) {
  return q
    .select({
      id: asks.id,
      letterId: asks.letterId,
      toPersonId: asks.toPersonId,
      name: asked.name,
      phone: asked.phone,
      approved: IS_APPROVED,
      areaId: asks.areaId,
      areaName: areas.name,
      areaSlug: areas.slug,
      need: asks.need,
      week: asks.week,
      month: asks.month,
      dayKind: asks.dayKind,
      date: asks.date,
      bestMetres: asks.bestMetres,
      state: asks.state,
      answeredAt: asks.answeredAt,
      askedAt: askLetters.createdAt,
    })
    .from(asks)
    .innerJoin(askLetters, eq(askLetters.id, asks.letterId))
    .innerJoin(asked, eq(asked.id, asks.toPersonId))
    .innerJoin(leaders, eq(leaders.personId, asks.toPersonId))
    .innerJoin(areas, eq(areas.id, asks.areaId));
}

/** A walk that someone was asked for. */
export type AskRow = ReturnType<typeof asksIn>[number];

/** What was asked for a span of months (YYYY-MM, both counted), in the order it was asked. One query. */
export function asksIn(q: Tx, from: string, to: string) {
  return rows(q)
    .where(and(sql`${asks.month} BETWEEN ${from} AND ${to}`))
    .orderBy(asc(asks.id))
    .all();
}

/** The first and the last month (YYYY-MM) that a letter asks for; null where nothing is left of it. */
export function monthsOfLetter(q: Tx, letterId: number): { from: string; to: string } | null {
  const row = q
    .select({ from: sql<string | null>`min(${asks.month})`, to: sql<string | null>`max(${asks.month})` })
    .from(asks)
    .where(eq(asks.letterId, letterId))
    .get();
  return row?.from && row.to ? { from: row.from, to: row.to } : null;
}

function letters(q: Tx) {
  return q
    .select({
      id: askLetters.id,
      note: askLetters.note,
      createdAt: askLetters.createdAt,
      to: { personId: asked.id, name: asked.name, email: asked.email },
      by: { personId: asking.id, name: asking.name },
      approved: IS_APPROVED,
      /** When their agreement is due, ms. */
      agreementDueAt: leaders.agreementDueAt,
    })
    .from(askLetters)
    .innerJoin(asked, eq(asked.id, askLetters.toPersonId))
    .innerJoin(asking, eq(asking.id, askLetters.byPersonId))
    .innerJoin(leaders, eq(leaders.personId, askLetters.toPersonId));
}

export type LetterRow = NonNullable<ReturnType<typeof letterById>>;

export function letterById(q: Tx, id: number) {
  return letters(q).where(eq(askLetters.id, id)).get();
}

/** The letter that a private address answers. */
export function letterByToken(q: Tx, token: string): LetterRow | undefined {
  return letters(q)
    .where(eq(askLetters.tokenHash, hashed(token)))
    .get();
}

// Written out, not as a parameter: the index on open asks is found by these words.
const IS_OPEN = sql`${asks.state} = 'open'`;

type NewAsk = Omit<typeof asks.$inferInsert, 'id' | 'letterId' | 'toPersonId' | 'state' | 'answeredAt'>;

/** Keeps a letter with what it asks for; gives its number. @param letter `by` asks `to`, at an instant (ms) */
export function addLetter(tx: Tx, sealer: Sealer, letter: { to: number; by: number; note: string; at: number }, wanted: NewAsk[]): number {
  const { to, by, note, at } = letter;
  const row = { toPersonId: to, byPersonId: by, note, tokenHash: '', createdAt: at };
  // The number is part of what the address is worked out from, and known only now.
  const { id } = tx.insert(askLetters).values(row).returning({ id: askLetters.id }).get();
  tx.update(askLetters)
    .set({ tokenHash: askTokenHash(sealer, { id, madeAt: at }) })
    .where(eq(askLetters.id, id))
    .run();
  // A walk came of what they were asked before, or the need would not be missing; by its row alone it is open still, and none is open twice.
  const again = inArray(
    asks.need,
    wanted.map(({ need }) => need),
  );
  endThose(tx, and(eq(asks.toPersonId, to), again), 'ended', at);
  tx.insert(asks)
    .values(wanted.map((one) => ({ ...one, letterId: id, toPersonId: to, state: 'open' as const })))
    .run();
  return id;
}

function endThose(tx: Tx, which: SQL | undefined, state: 'not this time' | 'ended', now: number): void {
  tx.update(asks).set({ state, answeredAt: now }).where(and(which, IS_OPEN)).run();
}

/** Ends an open ask with an answer, or by taking it back; nothing where it is not open any more. */
export function endAsk(tx: Tx, id: number, state: 'not this time' | 'ended', now: number): void {
  endThose(tx, eq(asks.id, id), state, now);
}

/** Opens an ask again whose answer was "not this time"; nothing where the same need was asked of them anew. */
export function reopenAsk(tx: Tx, { id, toPersonId, need }: Pick<AskRow, 'id' | 'toPersonId' | 'need'>): void {
  const same = and(eq(asks.toPersonId, toPersonId), eq(asks.need, need), IS_OPEN);
  if (tx.select({ id: asks.id }).from(asks).where(same).get()) return;
  tx.update(asks)
    .set({ state: 'open', answeredAt: null })
    .where(and(eq(asks.id, id), eq(asks.state, 'not this time')))
    .run();
}

/** Ends whatever a leader is asked, when they lead walks no more. */
export function endAsksTo(tx: Tx, personId: number, now: number): void {
  endThose(tx, eq(asks.toPersonId, personId), 'ended', now);
}

/** Who leads or shares some walks, and when each was posted, by number. One query. */
export function postedBy(q: Tx, ids: number[]): Map<number, PostedBy> {
  const found = q.all<{ id: number; personId: number; postedAt: number }>(sql`
    SELECT w.id, l.person_id AS personId, w.posted_at AS postedAt
    FROM json_each(${JSON.stringify(ids)}) j CROSS JOIN walks w CROSS JOIN walk_leaders l WHERE w.id = j.value AND l.walk_id = w.id`);
  const posted = new Map<number, PostedBy>();
  for (const { id, personId, postedAt } of found) posted.set(id, { leaders: [...(posted.get(id)?.leaders ?? []), personId], postedAt });
  return posted;
}

/** What somebody was asked or asks, for the page of all that is held about them; the latest first. */
export function asksAbout(q: Tx, personId: number) {
  return q
    .select({
      areaName: areas.name,
      date: asks.date,
      month: asks.month,
      week: asks.week,
      dayKind: asks.dayKind,
      need: asks.need,
      leastMetres: asks.leastMetres,
      bestMetres: asks.bestMetres,
      mostMetres: asks.mostMetres,
      state: asks.state,
      answeredAt: asks.answeredAt,
      toThem: sql<number>`${asks.toPersonId} = ${personId}`.mapWith(Boolean),
      note: askLetters.note,
      askedAt: askLetters.createdAt,
    })
    .from(askLetters)
    .innerJoin(asks, eq(asks.letterId, askLetters.id))
    .innerJoin(areas, eq(areas.id, asks.areaId))
    .where(inArray(askLetters.id, lettersOf(q, personId)))
    .orderBy(sql`${asks.id} DESC`)
    .all();
}

function lettersOf(q: Tx, personId: number) {
  return q
    .select({ id: askLetters.id })
    .from(askLetters)
    .where(sql`${askLetters.toPersonId} = ${personId} OR ${askLetters.byPersonId} = ${personId}`);
}

/** The letters in which someone is asked for walks to come and has not answered, the oldest first; the day, or the month where any day of it will do, is looked at alone. One query. @param today YYYY-MM-DD */
export function openLettersTo(q: Tx, personId: number, today: string) {
  return q
    .select({ id: askLetters.id, madeAt: askLetters.createdAt, by: asking.name, walks: sql<number>`count(*)` })
    .from(asks)
    .innerJoin(askLetters, eq(askLetters.id, asks.letterId))
    .innerJoin(asking, eq(asking.id, askLetters.byPersonId))
    .where(
      and(
        eq(asks.toPersonId, personId),
        IS_OPEN,
        sql`(${asks.date} > ${today} OR (${asks.week} = '' AND ${asks.month} >= ${today.slice(0, 7)}))`,
      ),
    )
    .groupBy(askLetters.id)
    .orderBy(asc(askLetters.id))
    .all();
}
