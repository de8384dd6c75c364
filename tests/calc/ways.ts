import fc from 'fast-check';
import type { Point } from '../../server/calc/route.js';

const RADIANS_PER_DEGREE = Math.PI / 180;
const METRES_PER_DEGREE = 111_200;

/** The place some metres from another, near enough for a made-up way. */
export function stepFrom({ lat, lon }: { lat: number; lon: number }, bearing: number, metres: number): { lat: number; lon: number } {
  return {
    lat: lat + (metres * Math.cos(bearing * RADIANS_PER_DEGREE)) / METRES_PER_DEGREE,
    lon: lon + (metres * Math.sin(bearing * RADIANS_PER_DEGREE)) / METRES_PER_DEGREE / Math.cos(lat * RADIANS_PER_DEGREE),
  };
}

export const HOME = { lat: 41, lon: -81 };

/** A way of straight legs from HOME, a point every `every` metres, level. */
export function legs(parts: readonly (readonly [bearing: number, metres: number])[], every = 10): Point[] {
  const way: Point[] = [{ ...HOME, ele: 100 }];
  for (const [bearing, metres] of parts)
    for (let walked = 0; walked < metres; walked += every) way.push({ ...stepFrom(way.at(-1) ?? HOME, bearing, every), ele: 100 });
  return way;
}

/** Points strayed by up to `metres` to either side, the same each time. */
export function jittered(points: readonly Point[], metres: number): Point[] {
  return points.map((point, index) => ({ ...point, ...stepFrom(point, (index * 137.5) % 360, (metres * ((index * 7919) % 100)) / 100) }));
}

/** Anybody's way: up to 40 legs of up to a kilometre, with heights to a tenth of a metre. */
export const anyWay: fc.Arbitrary<Point[]> = fc
  .record({
    start: fc.record({
      lat: fc.double({ min: -75, max: 75, noNaN: true }),
      lon: fc.double({ min: -170, max: 170, noNaN: true }),
    }),
    steps: fc.array(
      fc.record({
        bearing: fc.double({ min: 0, max: 360, noNaN: true }),
        metres: fc.double({ min: 0, max: 1000, noNaN: true }),
        ele: fc.integer({ min: 0, max: 600 }).map((tenths) => tenths / 10),
      }),
      { minLength: 2, maxLength: 40 },
    ),
  })
  .map(({ start, steps }) => {
    let place = start;
    return steps.map(({ bearing, metres, ele }) => {
      place = stepFrom(place, bearing, metres);
      return { ...place, ele };
    });
  });

export function heightsOf(points: readonly Point[]): number[] {
  return points.flatMap(({ ele }) => (ele === null ? [] : [ele]));
}
