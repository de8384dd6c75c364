import { type SQL, sql } from 'drizzle-orm';
import { monthOf } from '../calc/month.js';
import type { Tx } from '../db/open.js';
import { isAddress } from '../privacy/erased.js';
import { type Counted, type Report, type ReportArea, reportOf } from './report.js';

/** Which walks are reported: those of some months (YYYY-MM, first and last counted), as they stand at an instant, ms. */
interface Window {
  from: string;
  to: string;
  now: number;
}

/**
 * The report of months that follow each other. Six queries, each by an index; what they cost follows the walks of these months, and of whoever signed up
 * for them the sign-ups before.
 */
export function readReport(q: Tx, months: string[], now: number): Report {
  const window = { from: months[0] ?? '', to: months.at(-1) ?? '', now };
  const counted = [...walksIn(q, window), ...walkedIn(q, window), ...firstTimersIn(q, window), ...leadersIn(q, window)];
  return reportOf(areasOf(q), months, counted);
}

function areasOf(q: Tx): ReportArea[] {
  const rows = q.all<{ id: number; name: string; zone: string; createdAt: number }>(sql`
    SELECT id, name, zone, created_at AS createdAt FROM areas ORDER BY name`);
  return rows.map(({ id, name, zone, createdAt }) => ({ id, name, addedMonth: monthOf(createdAt, zone) }));
}

/** Whether a walk was led: it set off, and was not cancelled. @param walk "w" */
function wasLed(walk: SQL, now: number): SQL {
  return sql`(${walk}.state = 'closed' OR (${walk}.state = 'posted' AND ${walk}.set_off_at <= ${now}))`;
}

const W = sql`w`;
const inMonths = ({ from, to }: Window) => sql`w.month BETWEEN ${from} AND ${to}`;

/** Walks led and cancelled, and the length of those led. One that was cancelled as a draft is none. */
function walksIn(q: Tx, window: Window): Counted[] {
  const isLed = wasLed(W, window.now);
  return q.all(sql`
    SELECT w.area_id AS areaId, w.month, sum(${isLed}) AS led, sum(w.state = 'cancelled' AND w.cancel_kind = 'safety') AS safety,
      sum(w.state = 'cancelled' AND w.cancel_kind = 'other') AS other, sum(iif(${isLed}, w.distance_metres, 0)) AS metres
    FROM walks w WHERE ${inMonths(window)} AND w.posted_at IS NOT NULL GROUP BY w.month, w.area_id`);
}

/** Whether it was settled, as a walk was closed, who came. @param walk "w" */
function isSettled(walk: SQL): SQL {
  return sql`EXISTS (SELECT 1 FROM attendance a WHERE a.walk_id = ${walk}.id)`;
}

/** Whether a confirmed sign-up's party, or some of it, walked; where that was not settled, it counts as having come. */
function cameAlong(walk: SQL, signUp: SQL): SQL {
  return sql`(NOT ${isSettled(walk)} OR EXISTS (
    SELECT 1 FROM party_members m CROSS JOIN attendance a ON a.member_id = m.id WHERE m.sign_up_id = ${signUp}.id AND a.outcome <> 'absent'))`;
}

/** Who walked, and how far each: as it was settled when the walk was closed; where it was not, everyone with a confirmed place, all of it. */
function walkedIn(q: Tx, window: Window): Counted[] {
  const settled: Counted[] = q.all(sql`
    SELECT w.area_id AS areaId, w.month, count(DISTINCT m.sign_up_id) + count(t.id) AS parties, count(*) AS people, sum(a.metres) AS personMetres,
      sum(coalesce(m.minor, t.minor)) AS minors
    FROM walks w CROSS JOIN attendance a ON a.walk_id = w.id LEFT JOIN party_members m ON m.id = a.member_id LEFT JOIN turned_up t ON t.id = a.turned_up_id
    WHERE ${inMonths(window)} AND ${wasLed(W, window.now)} AND a.outcome <> 'absent'
    GROUP BY w.month, w.area_id`);
  const unsettled: Counted[] = q.all(sql`
    SELECT w.area_id AS areaId, w.month, count(*) AS parties, sum(s.party_size) AS people, sum(s.party_size * w.distance_metres) AS personMetres,
      sum((SELECT count(*) FROM party_members m WHERE m.sign_up_id = s.id AND m.minor = 1 AND m.removed_at IS NULL)) AS minors
    FROM walks w CROSS JOIN sign_ups s
    WHERE ${inMonths(window)} AND ${wasLed(W, window.now)} AND s.walk_id = w.id AND s.state = 'confirmed' AND NOT ${isSettled(W)}
    GROUP BY w.month, w.area_id`);
  return [...settled, ...unsettled];
}

/**
 * Addresses by the first walk led that they came along on, ever: each counts once. One that was erased is nobody's. First those of these months, each with its
 * first walk in them (SQLite takes the other columns from the row of the least); only then is each looked up in the time before.
 */
function firstTimersIn(q: Tx, window: Window): Counted[] {
  return q.all(sql`
    SELECT f.areaId, f.month, count(*) AS firstTimers FROM (
      SELECT w.area_id AS areaId, w.month, s.email, min(w.set_off_at) AS at
      FROM walks w CROSS JOIN sign_ups s WHERE ${inMonths(window)} AND ${wasLed(W, window.now)} AND s.walk_id = w.id AND s.state = 'confirmed'
        AND ${cameAlong(W, sql`s`)}
      GROUP BY s.email) f
    WHERE ${isAddress(sql`f.email`)} AND NOT EXISTS (
      SELECT 1 FROM sign_ups e CROSS JOIN walks b ON b.id = e.walk_id
      WHERE e.email = f.email AND e.state = 'confirmed' AND ${wasLed(sql`b`, window.now)} AND b.set_off_at < f.at
        AND ${cameAlong(sql`b`, sql`e`)})
    GROUP BY f.month, f.areaId`);
}

/** Who led or shared the walks led. */
function leadersIn(q: Tx, window: Window): Counted[] {
  const rows = q.all<{ areaId: number; month: string; leaders: string }>(sql`
    SELECT w.area_id AS areaId, w.month, json_group_array(DISTINCT l.person_id) AS leaders
    FROM walks w CROSS JOIN walk_leaders l ON l.walk_id = w.id WHERE ${inMonths(window)} AND ${wasLed(W, window.now)} GROUP BY w.month, w.area_id`);
  return rows.map(({ leaders, ...cell }) => ({ ...cell, leaders: new Set(JSON.parse(leaders) as number[]) }));
}
