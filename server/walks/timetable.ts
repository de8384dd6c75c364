import { type SQL, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import type { Band } from '../plan/fits.js';
import type { WalkFilter } from './filter.js';
import type { Stop } from './stops.js';

const HOUR_MS = 60 * 60 * 1000;
/** A walk stays on the timetable this long after gathering, for the one who is late. */
const SHOWN_AFTER_MS = HOUR_MS;
/** No zone is further than this from UTC. */
const FURTHEST_ZONE_MS = 15 * HOUR_MS;

/** A row of the timetable. */
export interface TimetableRow {
  id: number;
  uid: string;
  state: 'posted' | 'cancelled';
  version: number;
  sequence: number;
  updatedAt: number;
  routeName: string;
  locality: string;
  areaName: string;
  areaSlug: string;
  wallDate: string;
  zone: string;
  gatherAt: number;
  setOffAt: number;
  meetingPoint: string;
  landmark: string;
  lat: number | null;
  lon: number | null;
  distanceMetres: number;
  ascentMetres: number;
  effortMetres: number | null;
  /** JSON, as it lies in the table: the timetable itself never reads it. */
  stops: string;
  surfaces: string;
  stepFree: number;
  capacity: number;
  moved: string;
  cancelReason: string | null;
  confirmed: number;
  waiting: number;
}

/**
 * Coming walks, soonest first, at most `most`. One query, bounded by the index on the gathering instant: what lies in the past
 * costs nothing.
 */
export function timetable(q: Tx, filter: WalkFilter, now: number, most: number): TimetableRow[] {
  return q.all<TimetableRow>(sql`
    SELECT w.id, w.uid, w.state, w.version, w.sequence, w.updated_at AS updatedAt, w.route_name AS routeName, w.locality, a.name AS areaName,
      a.slug AS areaSlug, w.wall_date AS wallDate, w.zone, w.gather_at AS gatherAt, w.set_off_at AS setOffAt, w.meeting_point AS meetingPoint,
      w.landmark, w.lat, w.lon, w.distance_metres AS distanceMetres, w.ascent_metres AS ascentMetres,
      w.effort_metres AS effortMetres, w.stops, w.surfaces, w.step_free AS stepFree,
      w.capacity, w.moved, w.cancel_reason AS cancelReason,
      coalesce((SELECT sum(party_size) FROM sign_ups s WHERE s.walk_id = w.id AND s.state = 'confirmed'), 0) AS confirmed,
      coalesce((SELECT sum(party_size) FROM sign_ups s WHERE s.walk_id = w.id AND s.state = 'waiting'), 0) AS waiting
    FROM walks w JOIN areas a ON a.id = w.area_id
    WHERE w.state IN ('posted', 'cancelled') AND w.posted_at IS NOT NULL AND ${sql.join(conditions(filter, now), sql` AND `)}
    ORDER BY w.gather_at LIMIT ${most}`);
}

/** The row with its stops read. */
export function withStops(row: TimetableRow): Omit<TimetableRow, 'stops'> & { stops: Stop[] } {
  return { ...row, stops: JSON.parse(row.stops) as Stop[] };
}

/** What an area has coming. */
export interface AreaComing {
  areaId: number;
  walks: number;
  /** The next gathering, ms UTC, and the zone its walk keeps. */
  nextAt: number;
  zone: string;
}

/** Areas that have posted walks to come, with how many and when the next gathers. One query over the walks to come. */
export function comingByArea(q: Tx, now: number): AreaComing[] {
  // SQLite takes the bare column from the row that has the least gather_at.
  return q.all<AreaComing>(sql`
    SELECT area_id AS areaId, count(*) AS walks, min(gather_at) AS nextAt, zone FROM walks
    WHERE state IN ('posted', 'cancelled') AND state = 'posted' AND gather_at > ${now} GROUP BY area_id`);
}

function conditions(filter: WalkFilter, now: number): SQL[] {
  const earliest = filter.from === null ? now - SHOWN_AFTER_MS : Date.parse(filter.from) - FURTHEST_ZONE_MS;
  const all = [sql`w.gather_at >= ${earliest}`];
  if (filter.from !== null) all.push(sql`w.wall_date >= ${filter.from}`);
  if (filter.to !== null)
    all.push(sql`w.wall_date <= ${filter.to}`, sql`w.gather_at <= ${Date.parse(filter.to) + 24 * HOUR_MS + FURTHEST_ZONE_MS}`);
  if (filter.area !== null) all.push(sql`w.area_id = (SELECT id FROM areas WHERE slug = ${filter.area})`);
  if (filter.minMetres !== null) all.push(sql`w.distance_metres >= ${filter.minMetres}`);
  if (filter.maxMetres !== null) all.push(sql`w.distance_metres <= ${filter.maxMetres}`);
  if (filter.days.length > 0) all.push(sql`CAST(strftime('%w', w.wall_date) AS INTEGER) IN ${filter.days}`);
  if (filter.surface !== null) all.push(sql`EXISTS (SELECT 1 FROM json_each(w.surfaces) WHERE value = ${filter.surface})`);
  if (filter.stepFree) all.push(sql`w.step_free = 1`);
  if (filter.bands) all.push(...withinBands(filter.bands));
  return all;
}

/** Of one of these days and lengths; of none, where the week has no walks. The gathering instant bounds the search. */
function withinBands(bands: Band[]): SQL[] {
  if (bands.length === 0) return [sql`0`];
  const last = Math.max(...bands.map(({ to }) => Date.parse(to)));
  const each = bands.map(
    ({ from, to, leastMetres, mostMetres }) =>
      sql`(w.wall_date BETWEEN ${from} AND ${to} AND w.distance_metres BETWEEN ${leastMetres} AND ${mostMetres})`,
  );
  return [sql`w.gather_at <= ${last + 24 * HOUR_MS + FURTHEST_ZONE_MS}`, sql`(${sql.join(each, sql` OR `)})`];
}
