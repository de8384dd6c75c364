import { eastward } from '../calc/geodesy.js';
import type { LineVertex } from '../gpx/measured.js';

/** A point on the ground, degrees. */
export interface Point {
  lat: number;
  lon: number;
}

/** The point of a route so many metres along it, straight between its vertices; null where the route does not reach so far. Pure. */
export function pointAlong(line: LineVertex[][], metres: number): Point | null {
  for (const segment of line) {
    for (const [index, [lat, lon, at]] of segment.entries()) {
      if (at < metres) continue;
      const before = segment[index - 1];
      // Within a gap of the file, or before its first vertex: the nearest that is known.
      if (!before || at === before[2]) return { lat, lon };
      const share = (metres - before[2]) / (at - before[2]);
      return { lat: before[0] + share * (lat - before[0]), lon: before[1] + share * eastward(before[1], lon) };
    }
  }
  const last = line.at(-1)?.at(-1);
  // A stop laid at the very end may be a few metres past what the file measures.
  return last && metres - last[2] < END_METRES ? { lat: last[0], lon: last[1] } : null;
}

const END_METRES = 100;

/**
 * The point so many metres along a walk: its route is stretched to the length that the leader gave, as it is drawn. Null where there is no
 * route, or none so far. Pure.
 */
export function pointOfWalk(line: LineVertex[][] | null, metres: number, { distanceMetres }: { distanceMetres: number }): Point | null {
  const length = line?.at(-1)?.at(-1)?.[2] ?? 0;
  return line && pointAlong(line, (metres / distanceMetres) * length);
}

/** "41.30012, -85.10044": a point as it is read out to the emergency services, to about a metre. Pure. */
export function pointWords({ lat, lon }: Point): string {
  return `${lat.toFixed(5)}, ${eastward(0, lon).toFixed(5)}`;
}
