import type { Point } from '../server/calc/route.js';
import type { Tx } from '../server/db/open.js';
import { measure } from '../server/gpx/measure.js';
import type { MeasuredRoute } from '../server/gpx/measured.js';
import { addRoute } from '../server/gpx/store.js';
import type { Route } from './routes.js';
import type { LaidWay } from './walk-facts.js';
import { pointsOf } from './way/points.js';

/** A route's way, measured as a leader's file is. */
export function measured(route: Route): MeasuredRoute {
  const points = pointsOf(route);
  const waypoints = route.stops.map(({ mile, name, kinds }) => ({
    ...pointAt(points, mile / route.miles),
    name,
    symbol: '',
    type: kinds.join(' '),
  }));
  return measure({ name: route.name, segments: [points], waypoints });
}

/** Lays the way of each of `routes`, as if its leader had sent it at `now`. */
export function layWays(
  tx: Tx,
  routes: Iterable<Route>,
  { leaderOf, now }: { leaderOf: (route: Route) => number; now: number },
): Map<Route, LaidWay> {
  const laid = new Map<Route, LaidWay>();
  for (const route of new Set(routes)) {
    const way = measured(route);
    laid.set(route, { id: addRoute(tx, way, { by: leaderOf(route), now }), lengthMetres: way.lengthMetres, profile: way.profile });
  }
  return laid;
}

/** The point at a part of the way: its points are evenly spaced. */
function pointAt(points: Point[], part: number): { lat: number; lon: number } {
  const { lat, lon } = points[Math.round(part * (points.length - 1))] ?? { lat: 0, lon: 0 };
  return { lat, lon };
}
