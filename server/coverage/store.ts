import { sql } from 'drizzle-orm';
import { addDays } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import type { Tx } from '../db/open.js';
import type { GroupSettings } from '../settings/rules.js';
import type { CountedWalk } from './covered.js';
import type { AreaWants } from './needs-of.js';

/** An area with what it wants. */
export interface WantingArea extends AreaWants {
  slug: string;
  name: string;
  zone: string;
  /** Approved leaders who have it as their own. */
  leaders: number;
}

interface AreaRow extends Pick<WantingArea, 'id' | 'slug' | 'name' | 'zone' | 'leaders'> {
  weekday: number;
  saturday: number;
  sunday: number;
  tolerance: number | null;
  floor: number | null;
  createdAt: number;
}

/** All areas by name, or one, with what they want; what an area leaves open is as the settings say. */
export function wantingAreas(q: Tx, settings: GroupSettings, areaId: number | null): WantingArea[] {
  const rows = q.all<AreaRow>(sql`
    SELECT a.id, a.slug, a.name, a.zone, a.weekday_walks AS weekday, a.saturday_walks AS saturday, a.sunday_walks AS sunday, a.length_tolerance AS tolerance,
      a.floor_walks AS floor, a.created_at AS createdAt,
      (SELECT count(*) FROM leaders l WHERE l.area_id = a.id AND l.state = 'approved') AS leaders
    FROM areas a ${areaId === null ? sql`` : sql`WHERE a.id = ${areaId}`} ORDER BY a.name`);
  return rows.map(({ weekday, saturday, sunday, tolerance, floor, createdAt, ...area }) => ({
    ...area,
    wants: { weekday, saturday, sunday },
    tolerance: { share: tolerance ?? settings.slotToleranceShare, metres: settings.slotToleranceMetres },
    floorWalks: floor ?? settings.floorWalks,
    addedOn: wallOf(createdAt, area.zone).date,
  }));
}

/** Posted and closed walks of all areas, or of one, by area: those that gather between two dates, both counted. One query. */
export function countedWalks(q: Tx, from: string, to: string, areaId: number | null): Map<number, CountedWalk[]> {
  // CROSS JOIN: the areas first, and of each the stretch of the index that the dates bound, however many years are stored.
  const rows = q.values<[number, number, string, string, number]>(sql`
    SELECT w.area_id, w.id, w.wall_date, w.month, w.distance_metres FROM areas a CROSS JOIN walks w
    WHERE w.area_id = a.id AND w.wall_date BETWEEN ${from} AND ${to} AND w.state IN ('posted', 'closed')
      ${areaId === null ? sql`` : sql`AND a.id = ${areaId}`}`);
  const byArea = new Map<number, CountedWalk[]>();
  for (const [area, id, date, month, metres] of rows) {
    const walk = { id, date, month, metres };
    const others = byArea.get(area);
    if (others) others.push(walk);
    else byArea.set(area, [walk]);
  }
  return byArea;
}

/** The walkers of an area are those who signed up for its walks of the last so many days. */
const WALKER_DAYS = 28;

/** How many walkers each area has, lately. @param today YYYY-MM-DD */
export function walkersLately(q: Tx, today: string): Map<number, number> {
  return walkersByArea(q, addDays(today, -WALKER_DAYS), today);
}

/** How many different people signed up for the walks of each area between two dates, both counted: by the address they booked with. */
export function walkersByArea(q: Tx, from: string, to: string): Map<number, number> {
  return new Map(
    q.values<[number, number]>(sql`
      SELECT a.id, count(DISTINCT s.email) FROM areas a CROSS JOIN walks w CROSS JOIN sign_ups s
      WHERE w.area_id = a.id AND w.wall_date BETWEEN ${from} AND ${to} AND w.state IN ('posted', 'closed')
        AND s.walk_id = w.id AND s.state = 'confirmed' GROUP BY a.id`),
  );
}

/** What the board says of a walk. */
export interface NamedWalk {
  id: number;
  routeName: string;
  locality: string;
}

/** The names of some walks by their numbers. */
export function namedWalks(q: Tx, ids: number[]): Map<number, NamedWalk> {
  const rows = q.all<NamedWalk>(sql`
    SELECT w.id, w.route_name AS routeName, w.locality FROM json_each(${JSON.stringify(ids)}) j CROSS JOIN walks w WHERE w.id = j.value`);
  return new Map(rows.map((row) => [row.id, row]));
}
