import { eastward, metresPerDegree } from './geodesy.js';
import { simplify } from './line.js';
import type { Point } from './route.js';

/** A corner of a way without its jitter: `run` is how far along that line, `metres` how far along the way as it was recorded. */
export interface Corner {
  lat: number;
  lon: number;
  run: number;
  metres: number;
}

/** The corners of a way, of which no point lies further than `jitterMetres` from the line through them; no two in one place follow each other. */
export function corners(points: readonly Point[], alongs: readonly number[], jitterMetres: number): Corner[] {
  const line: Corner[] = [];
  for (const index of simplify(points, jitterMetres)) {
    const point = points[index];
    if (!point) continue;
    const last = line.at(-1);
    const metres = metresPerDegree(point.lat);
    const step = last ? Math.hypot((point.lat - last.lat) * metres.lat, eastward(last.lon, point.lon) * metres.lon) : 0;
    if (!last || step > 0) line.push({ lat: point.lat, lon: point.lon, run: (last?.run ?? 0) + step, metres: alongs[index] ?? 0 });
  }
  return line;
}

/** The place at `run` along a line of corners; its end, beyond it. */
export function placeAt(line: readonly Corner[], run: number): { lat: number; lon: number } {
  const index = firstFrom(line, run);
  const to = line[index] ?? line.at(-1);
  const from = line[index - 1] ?? to;
  if (!from || !to) return { lat: 0, lon: 0 };
  const share = to.run > from.run ? Math.min(1, (run - from.run) / (to.run - from.run)) : 0;
  return { lat: from.lat + (to.lat - from.lat) * share, lon: from.lon + eastward(from.lon, to.lon) * share };
}

/** The index of the first corner at `run` or beyond. */
function firstFrom(line: readonly Corner[], run: number): number {
  let [low, high] = [0, line.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((line[middle]?.run ?? 0) < run) low = middle + 1;
    else high = middle;
  }
  return low;
}
