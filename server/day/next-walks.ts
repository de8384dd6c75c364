import { and, asc, eq, gt, sql } from 'drizzle-orm';
import { distance } from '../calc/geodesy.js';
import type { Tx } from '../db/open.js';
import { areas, walks } from '../db/schema/index.js';
import type { WalkRow } from '../walks/ledby.js';
import { IS_POSTED } from '../walks/posted.js';

/** Thanks name no more walks than that. */
const MOST_NAMED = 3;
/** Among so many of the soonest the nearest are looked for. */
const LOOKED_AT = 200;

export type NextWalk = Pick<WalkRow, 'id' | 'areaId' | 'routeName' | 'locality' | 'distanceMetres' | 'gatherAt' | 'zone' | 'lat' | 'lon'>;

/** Posted walks to come, soonest first. One query. */
export function walksToCome(q: Tx, now: number): NextWalk[] {
  const { id, areaId, routeName, locality, distanceMetres, gatherAt, zone } = walks;
  const shown = { id, areaId, routeName, locality, distanceMetres, gatherAt, zone };
  return q
    .select({ ...shown, lat: sql<number>`coalesce(${walks.lat}, ${areas.lat})`, lon: sql<number>`coalesce(${walks.lon}, ${areas.lon})` })
    .from(walks)
    .innerJoin(areas, eq(areas.id, walks.areaId))
    .where(and(IS_POSTED, gt(walks.gatherAt, now)))
    .orderBy(asc(walks.gatherAt), asc(walks.id))
    .limit(LOOKED_AT)
    .all();
}

/** The next walks near one: those of its area, soonest first, then the nearest of the others. Pure. */
export function nextNear(from: { areaId: number; lat: number; lon: number }, coming: readonly NextWalk[]): NextWalk[] {
  const same = coming.filter((walk) => walk.areaId === from.areaId);
  if (same.length >= MOST_NAMED) return same.slice(0, MOST_NAMED);
  const far = (walk: NextWalk) => distance(from.lat, from.lon, walk.lat ?? from.lat, walk.lon ?? from.lon);
  const others = coming.filter((walk) => walk.areaId !== from.areaId).map((walk) => ({ walk, metres: far(walk) }));
  others.sort((a, b) => a.metres - b.metres || a.walk.gatherAt - b.walk.gatherAt);
  return [...same, ...others.map(({ walk }) => walk)].slice(0, MOST_NAMED);
}
