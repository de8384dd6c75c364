import { describe, expect, it } from 'vitest';
import { AREAS } from '../../seed/areas.js';
import { ROUTES, type Route } from '../../seed/routes.js';
import { pointsOf } from '../../seed/way/points.js';
import { distance } from '../../server/calc/geodesy.js';
import { climbToMetres, METRES_PER_MILE, toMetres } from '../../server/calc/measure.js';
import { CLIMB_THRESHOLD_METRES, climb, type Point } from '../../server/calc/route.js';
import { stretches } from '../../server/calc/stops.js';

const LENGTH_OFF = 0.005;
const CLIMB_OFF = 0.05;
const AREA_RADIUS_METRES = 12_000;
const STEEPEST = 0.3;
/** A short way is a path, not a line on the map. */
const PATH_OVER_LINE = 1.05;
const APART_MILES = 5;
const ROUNDING_MILES = 1e-6;

const each = AREAS.flatMap((area) => (ROUTES[area.slug] ?? []).map((route) => [route.name, { area, route }] as const));

function apart(a: Point | undefined, b: Point | undefined): number {
  if (!a || !b) throw new Error('no such point');
  return distance(a.lat, a.lon, b.lat, b.lon);
}

function gaps(points: Point[]): number[] {
  return points.slice(1).map((point, index) => apart(points[index], point));
}

/** The point at a mile: a way's points are evenly spaced. */
function pointAt(points: Point[], mile: number, { miles }: Route): Point | undefined {
  return points[Math.round((mile / miles) * (points.length - 1))];
}

describe.each(each)('the way of %s', (_, { area, route }) => {
  const points = pointsOf(route);
  const between = gaps(points);
  const length = between.reduce((sum, gap) => sum + gap, 0);

  it('is as long, and climbs as much, as the route says', () => {
    const said = toMetres(route.miles, 'mi');
    expect(Math.abs(length - said)).toBeLessThan(said * LENGTH_OFF);
    const { ascent } = climb(
      points.map((point) => point.ele ?? 0),
      CLIMB_THRESHOLD_METRES,
    );
    const climbed = climbToMetres(route.feet, 'mi');
    expect(Math.abs(ascent - climbed)).toBeLessThan(climbed * CLIMB_OFF);
  });

  it('starts at the meeting point, stays in the area, and ends where its shape says', () => {
    expect(apart(points[0], { ...route.point, ele: null })).toBeLessThan(1);
    expect(Math.max(...points.map((point) => apart({ ...area, ele: null }, point)))).toBeLessThan(AREA_RADIUS_METRES);
    if (route.ground.shape === 'one way') expect(apart(points[0], points.at(-1))).toBeGreaterThan(length / 3);
    else expect(apart(points[0], points.at(-1))).toBeLessThan(1);
  });

  it('goes on in short even steps, no steeper than a path', () => {
    expect(Math.max(...between)).toBeLessThan(40);
    expect(Math.min(...between)).toBeGreaterThan(12);
    const slopes = points.slice(1).map((point, index) => Math.abs((point.ele ?? 0) - (points[index]?.ele ?? 0)) / (between[index] ?? 1));
    expect(Math.max(...slopes)).toBeLessThan(STEEPEST);
  });

  it('has its stops in order and on it, and short ways that can be', () => {
    const miles = route.stops.map((stop) => stop.mile);
    expect(miles).toEqual([...miles].sort((a, b) => a - b));
    expect(Math.min(...miles)).toBeGreaterThan(0);
    expect(Math.max(...miles)).toBeLessThan(route.miles);
    for (const { mile, short } of route.stops) {
      if (!short) continue;
      const back = short.back ?? route.miles;
      const link = short.makes - mile - (route.miles - back);
      const line = apart(pointAt(points, mile, route), pointAt(points, back, route)) / METRES_PER_MILE;
      expect(short.makes).toBeLessThan(route.miles);
      expect(link).toBeGreaterThan(line * PATH_OVER_LINE - ROUNDING_MILES);
    }
  });

  it('explains a long stretch without toilets or water, and nothing else of the kind', () => {
    for (const kind of ['toilets', 'water'] as const) {
      const at = route.stops.filter((stop) => stop.kinds.includes(kind)).map((stop) => stop.mile);
      expect(stretches(at, route.miles, APART_MILES).length > 0).toBe(route.explained?.[kind] !== undefined);
    }
  });

  it('has a word for what is underfoot, and its turns', () => {
    const words = `${route.description} ${route.bring} ${route.directions}`;
    if (route.surfaces.includes('steps')) expect(words).toMatch(/\bsteps\b/);
    if (route.surfaces.includes('sand')) expect(words).toMatch(/\bsand\b/);
    if (route.surfaces.includes('unpaved')) expect(words).toMatch(/\bunpaved\b/i);
    expect(route.directions?.split('\n').length).toBeGreaterThanOrEqual(3);
  });
});

it('is the same way each time, and another one for each route', () => {
  for (const [, { route }] of each) expect(pointsOf(route)).toEqual(pointsOf(route));
  const drawn = each.map(([, { route }]) => gaps(pointsOf(route).slice(0, 60)).join());
  expect(new Set(drawn).size).toBe(each.length);
});
