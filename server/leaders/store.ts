import { and, eq, gte, inArray, lte, sql } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { areas, excusedMonths, leaders, people, pledges } from '../db/schema/index.js';
import { GRACE_MS } from '../joining/renewal.js';
import { dropDue } from '../joining/renewals.js';
import { endAllSessions } from '../people/sessions.js';
import { type Commitment, commitment, type MonthWalks, pledgeFor } from './rules.js';

export interface LeaderMonths {
  personId: number;
  name: string;
  email: string;
  phone: string | null;
  areaName: string;
  standing: 'approved' | 'stood_down';
  /** Until when a first-aid certificate is valid, YYYY-MM-DD. */
  firstAidUntil: string | null;
  months: (Commitment & MonthWalks & { month: string; pledge: number | null })[];
}

/** Leaders by the months shown, each month's state beside its figures. Four queries, bounded by the months. */
export function leaderMonths(q: Tx, months: string[], now: number, only?: number): LeaderMonths[] {
  const [first, last] = [months[0] ?? '', months.at(-1) ?? ''];
  const rows = q
    .select({
      personId: leaders.personId,
      standing: leaders.state,
      sinceMonth: leaders.sinceMonth,
      name: people.name,
      email: people.email,
      phone: people.phone,
      areaName: areas.name,
      firstAidUntil: leaders.firstAidUntil,
    })
    .from(leaders)
    .innerJoin(people, eq(people.id, leaders.personId))
    .innerJoin(areas, eq(areas.id, leaders.areaId))
    .where(only === undefined ? undefined : eq(leaders.personId, only))
    .orderBy(areas.name, people.name)
    .all();
  const ids = rows.map((row) => row.personId);
  const counted = byLeaderMonth(countWalks(q, first, last, now, only));
  const promised = groupBy(q.select().from(pledges).where(inArray(pledges.personId, ids)).all());
  const excuses = groupBy(
    q
      .select()
      .from(excusedMonths)
      .where(and(inArray(excusedMonths.personId, ids), gte(excusedMonths.month, first), lte(excusedMonths.month, last)))
      .all(),
  );
  return rows.map(({ sinceMonth, ...leader }) => ({
    ...leader,
    months: months.map((month) => {
      const walks = counted.get(`${leader.personId} ${month}`) ?? { kept: 0, coming: 0 };
      const pledge = pledgeFor(month, sinceMonth, promised.get(leader.personId) ?? []);
      const excused = (excuses.get(leader.personId) ?? []).some((row) => row.month === month);
      return { month, pledge, ...walks, ...commitment(pledge, excused, walks) };
    }),
  }));
}

interface WalkCount {
  personId: number;
  month: string;
  kept: number;
  coming: number;
}

/** Walks led or shared by leader and month of set-off in the walk's own zone; a draft, or one cancelled for another reason, is none. */
function countWalks(q: Tx, first: string, last: string, now: number, only?: number): WalkCount[] {
  return q.all<WalkCount>(sql`
    SELECT l.person_id AS personId, w.month,
      sum(CASE WHEN w.state = 'cancelled' OR w.set_off_at <= ${now} THEN 1 ELSE 0 END) AS kept,
      sum(CASE WHEN w.state = 'posted' AND w.set_off_at > ${now} THEN 1 ELSE 0 END) AS coming
    FROM walks w CROSS JOIN walk_leaders l ON l.walk_id = w.id
    WHERE w.month BETWEEN ${first} AND ${last} AND w.posted_at IS NOT NULL
      AND (w.state IN ('posted', 'closed') OR (w.state = 'cancelled' AND w.cancel_kind = 'safety'))
      ${only === undefined ? sql`` : sql`AND l.person_id = ${only}`}
    GROUP BY l.person_id, w.month`);
}

function byLeaderMonth(rows: WalkCount[]): Map<string, MonthWalks> {
  return new Map(rows.map((row) => [`${row.personId} ${row.month}`, { kept: row.kept, coming: row.coming }]));
}

function groupBy<T extends { personId: number }>(rows: T[]): Map<number, T[]> {
  const grouped = new Map<number, T[]>();
  for (const row of rows) grouped.set(row.personId, [...(grouped.get(row.personId) ?? []), row]);
  return grouped;
}

export interface NewLeader {
  name: string;
  email: string;
  phone: string;
  areaId: number;
  pledge: number;
  month: string;
  /** Until when the agreement they have signed holds, ms; thirty days from now where nothing is said. */
  agreementDueAt?: number;
}

/** Makes someone a leader, or changes what is kept of one; their sessions end, since what they may do has changed. */
export function approveLeader(tx: Tx, leader: NewLeader, by: number, now: number): number {
  const { name, email, phone } = leader;
  const agreementDueAt = leader.agreementDueAt ?? now + GRACE_MS;
  const person = tx
    .insert(people)
    .values({ name, email, phone, createdAt: now })
    .onConflictDoUpdate({ target: people.email, set: { name, phone, disabledAt: null } })
    .returning({ id: people.id })
    .get();
  tx.insert(leaders)
    .values({ personId: person.id, areaId: leader.areaId, state: 'approved', sinceMonth: leader.month, createdAt: now, agreementDueAt })
    .onConflictDoUpdate({
      target: leaders.personId,
      // Whoever comes back keeps what they have signed for.
      set: { areaId: leader.areaId, state: 'approved', agreementDueAt: sql`max(${leaders.agreementDueAt}, ${agreementDueAt})` },
    })
    .run();
  tx.insert(pledges)
    .values({ personId: person.id, fromMonth: leader.month, walks: leader.pledge })
    .onConflictDoUpdate({ target: [pledges.personId, pledges.fromMonth], set: { walks: leader.pledge } })
    .run();
  if (person.id !== by) endAllSessions(tx, person.id);
  writeDown(tx, { at: now, personId: by, action: 'approved a leader', subject: `person:${person.id}` });
  return person.id;
}

/** A leader who leaves: may post no more, and is signed out everywhere. */
export function standDown(tx: Tx, personId: number, by: number, now: number): void {
  tx.update(leaders).set({ state: 'stood_down' }).where(eq(leaders.personId, personId)).run();
  dropDue(tx, personId);
  if (personId !== by) endAllSessions(tx, personId);
  writeDown(tx, { at: now, personId: by, action: 'stood a leader down', subject: `person:${personId}` });
}
