import { climbToMetres, METRES_PER_MILE, toMetres } from '../../server/calc/measure.js';
import type { Point } from '../../server/calc/route.js';
import { chance } from '../chance.js';
import type { Route } from '../routes.js';
import { spotsOf } from './ground.js';
import { heightsAt } from './heights.js';
import { onEarth } from './plane.js';

type Way = Pick<Route, 'miles' | 'feet' | 'point' | 'ground' | 'base' | 'hills'>;

/** The way of a route, from its meeting point: as long as the route says, with the climb that it says. The same each time. */
export function pointsOf(route: Way): Point[] {
  const metres = toMetres(route.miles, 'mi');
  const spots = onEarth(spotsOf(route.ground, metres, chance(seedOf(route))), route.point);
  const miles = spots.map((_, index) => onHills(route, (index / (spots.length - 1)) * route.miles));
  const heights = heightsAt(miles, route.hills, route.base, climbToMetres(route.feet, 'mi'));
  return spots.map((spot, index) => ({ ...spot, ele: heights[index] ?? null }));
}

/** The mile of the hills that a mile of the way lies on: hills are told once for laps, and for a way back as for the way there. */
function onHills({ ground, miles }: Way, mile: number): number {
  if (ground.shape === 'there and back') return Math.min(mile, miles - mile);
  if (ground.shape !== 'laps') return mile;
  const lap = miles / (ground.times ?? 1);
  return mile % lap;
}

/** A number of the route's own, from its place and figures. */
function seedOf({ point, miles, feet }: Way): number {
  return Math.round(point.lat * 100_000 + point.lon * 1000 + miles * METRES_PER_MILE + feet);
}
