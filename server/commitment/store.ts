import { asc, eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { areas, excusedMonths, leaders, leaderTerms, people, pledges } from '../db/schema/index.js';
import { type LeaderMonth, leaderMonth, type MonthWalks, type Record } from './rules.js';

/** A leader as lists show them. */
export interface Leader {
  personId: number;
  name: string;
  email: string;
  phone: string | null;
  areaId: number;
  areaName: string;
  areaSlug: string;
  /** When their agreement is due, ms. */
  agreementDueAt: number;
  standing: 'approved' | 'stood_down';
  /** The first month asked of them; null where none was. */
  since: string | null;
}

export type LeaderMonths = Leader & { months: LeaderMonth[] };

const LEADER = {
  personId: leaders.personId,
  standing: leaders.state,
  name: people.name,
  email: people.email,
  phone: people.phone,
  areaId: leaders.areaId,
  areaName: areas.name,
  areaSlug: areas.slug,
  agreementDueAt: leaders.agreementDueAt,
};

/**
 * Every leader, by the months asked for, or one alone. Five queries, bounded by the months and the leaders.
 * @param months ascending
 */
export function leaderMonths(q: Tx, months: string[], now: number, only?: number): LeaderMonths[] {
  const rows = q
    .select(LEADER)
    .from(leaders)
    .innerJoin(people, eq(people.id, leaders.personId))
    .innerJoin(areas, eq(areas.id, leaders.areaId))
    .where(only === undefined ? undefined : eq(leaders.personId, only))
    .orderBy(areas.name, people.name)
    .all();
  const records = recordsOf(q, only);
  const counted = only === undefined ? countAll(q, months, now) : countOf(q, only, now);
  const walksIn = months.map((month) => counted.get(month) ?? NOBODY);
  return rows.map((leader) => {
    const record = records.get(leader.personId) ?? NO_RECORD;
    const since = record.terms[0]?.fromMonth ?? null;
    return {
      ...leader,
      since,
      months: months.map((month, index) => leaderMonth(month, record, walksIn[index]?.get(leader.personId) ?? NO_WALKS)),
    };
  });
}

const NO_RECORD: Record = { terms: [], pledges: [], excused: new Set() };
const NO_WALKS: MonthWalks = { kept: 0, coming: 0 };

/** Walks by month and leader. */
type Counted = Map<string, Map<number, MonthWalks>>;
const NOBODY: Map<number, MonthWalks> = new Map();

/** Terms, pledges and excused months by leader, terms and pledges in their order. Three queries. */
export function recordsOf(q: Tx, only?: number): Map<number, Record> {
  const records = new Map<number, Record & { excused: Set<string> }>();
  const of = (personId: number) => {
    const known = records.get(personId) ?? { terms: [], pledges: [], excused: new Set<string>() };
    records.set(personId, known);
    return known;
  };
  const terms = q.select().from(leaderTerms).orderBy(asc(leaderTerms.personId), asc(leaderTerms.fromMonth));
  const made = q.select().from(pledges).orderBy(asc(pledges.personId), asc(pledges.fromMonth));
  const excuses = q.select({ personId: excusedMonths.personId, month: excusedMonths.month }).from(excusedMonths);
  const all = only === undefined;
  for (const { personId, fromMonth, untilMonth } of all ? terms.all() : terms.where(eq(leaderTerms.personId, only)).all())
    of(personId).terms.push({ fromMonth, untilMonth });
  for (const { personId, fromMonth, walks } of all ? made.all() : made.where(eq(pledges.personId, only)).all())
    of(personId).pledges.push({ fromMonth, walks });
  for (const { personId, month } of all ? excuses.all() : excuses.where(eq(excusedMonths.personId, only)).all())
    of(personId).excused.add(month);
  return records;
}

/**
 * Which walks count for whoever leads or shares them, in the month of their set-off in the walk's own zone: posted ones, and of those
 * cancelled only for safety, never one that was no more than a draft.
 */
const COUNTS = sql`w.posted_at IS NOT NULL AND (w.state IN ('posted', 'closed') OR (w.state = 'cancelled' AND w.cancel_kind = 'safety'))`;

/** Led already, or counted as such; the others are posted walks still to come. */
const isKept = (now: number) => sql`(w.state <> 'posted' OR w.set_off_at <= ${now})`;

/**
 * Of everyone, within the months. CROSS JOIN keeps the order: from the months' walks, found in one index, to who leads them. A row a
 * month, and in it a leader's number for each walk, negative for one still to come: a row a leader and month took four times as long.
 */
function countAll(q: Tx, months: string[], now: number): Counted {
  const list = sql.join(
    months.map((month) => sql`${month}`),
    sql`, `,
  );
  const rows = q.all<{ month: string; leaders: string }>(sql`
    SELECT w.month, json_group_array(iif(${isKept(now)}, l.person_id, -l.person_id)) AS leaders
    FROM walks w INDEXED BY walks_counted CROSS JOIN walk_leaders l ON l.walk_id = w.id
    WHERE w.month IN (${list}) AND ${COUNTS} GROUP BY w.month`);
  return new Map(rows.map((row) => [row.month, tally(JSON.parse(row.leaders) as number[])]));
}

function tally(numbers: number[]): Map<number, MonthWalks> {
  const walks = new Map<number, MonthWalks>();
  for (const number of numbers) {
    const personId = Math.abs(number);
    const own = walks.get(personId) ?? { kept: 0, coming: 0 };
    if (own.kept + own.coming === 0) walks.set(personId, own);
    own[number > 0 ? 'kept' : 'coming'] += 1;
  }
  return walks;
}

/** Of one leader, from their own walks, however many the region has. */
function countOf(q: Tx, personId: number, now: number): Counted {
  const rows = q.all<MonthWalks & { month: string }>(sql`
    SELECT w.month, sum(${isKept(now)}) AS kept, sum(NOT ${isKept(now)}) AS coming FROM walk_leaders l CROSS JOIN walks w ON w.id = l.walk_id
    WHERE l.person_id = ${personId} AND ${COUNTS} GROUP BY w.month`);
  return new Map(rows.map(({ month, kept, coming }) => [month, new Map([[personId, { kept, coming }]])]));
}
