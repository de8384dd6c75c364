import { metresPerDegree } from '../../server/calc/geodesy.js';

/** A place on the flat map that a way is drawn on: metres east and north of its start. */
export interface Spot {
  x: number;
  y: number;
}

const RADIANS = Math.PI / 180;

export function between(a: Spot, b: Spot): number {
  return Math.hypot(b.x - a.x, b.y - a.y);
}

export function lengthOf(spots: readonly Spot[]): number {
  return spots.reduce((sum, spot, index) => sum + between(spots[index - 1] ?? spot, spot), 0);
}

/** A step of `metres` at `heading` degrees from north. */
export function step(from: Spot, heading: number, metres: number): Spot {
  return { x: from.x + metres * Math.sin(heading * RADIANS), y: from.y + metres * Math.cos(heading * RADIANS) };
}

/** Lays spots on the earth around a start, by the size of a degree at the middle of the way: true to a part in a thousand for a day's walk. */
export function onEarth(spots: readonly Spot[], start: { lat: number; lon: number }): { lat: number; lon: number }[] {
  const middle = spots.reduce((sum, spot) => sum + spot.y, 0) / Math.max(1, spots.length);
  const degree = metresPerDegree(start.lat + middle / metresPerDegree(start.lat).lat);
  return spots.map(({ x, y }) => ({ lat: start.lat + y / degree.lat, lon: start.lon + x / degree.lon }));
}
