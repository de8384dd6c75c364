import { corners, placeAt } from './corners.js';
import { distance, eastward, metresPerDegree } from './geodesy.js';
import type { Point, Shape } from './route.js';

/** A way ends where it began when its ends are this near, or two per cent of a longer way's length; never more than the last. */
const NEAR_METRES = 60;
const NEAR_PART = 0.02;
const MOST_NEAR_METRES = 300;
/** A way comes back as it went where this part of its first half has the second half beside it. */
const RETRACED_PART = 0.8;
const BESIDE_METRES = 30;
const BESIDE_PART = 0.02;
/** How far from the mirrored place the way back is looked for: one half may be recorded longer than the other. */
const STRAY_PART = 0.05;
const SAMPLES = 400;

interface Place {
  lat: number;
  lon: number;
}

/** Whether a way ends elsewhere, comes back the way it went, or goes round. @param alongs metres along at each point of each segment */
export function shapeOf(segments: readonly (readonly Point[])[], alongs: readonly (readonly number[])[]): Shape {
  const points = segments.flat();
  const metres = alongs.flat();
  const [start, finish] = [points[0], points.at(-1)];
  const lengthMetres = metres.at(-1) ?? 0;
  if (!start || !finish || lengthMetres === 0) return 'one way';
  const near = Math.min(MOST_NEAR_METRES, lengthMetres / 4, Math.max(NEAR_METRES, lengthMetres * NEAR_PART));
  if (distance(start.lat, start.lon, finish.lat, finish.lon) > near) return 'one way';
  const beside = Math.min(BESIDE_METRES, lengthMetres * BESIDE_PART);
  // Jitter lengthens the one half more than the other; without it, the mirrored place is near where it should be.
  const line = corners(points, metres, beside / 2);
  const end = line.at(-1)?.run ?? 0;
  const way = Array.from({ length: SAMPLES + 1 }, (_, index) => placeAt(line, (end * index) / SAMPLES));
  return retraced(way, beside) ? 'out and back' : 'loop';
}

/** Whether most of the first half has the mirrored part of the second half beside it. */
function retraced(way: readonly Place[], besideMetres: number): boolean {
  const half = SAMPLES / 2;
  const stray = SAMPLES * STRAY_PART;
  const beside = way.slice(0, half).filter((place, index) => {
    const mirrored = SAMPLES - index;
    const back = way.slice(Math.max(half, mirrored - stray), mirrored + stray + 1);
    return back.some((from, at) => isBeside(place, from, back[at + 1] ?? from, besideMetres));
  });
  return beside.length >= half * RETRACED_PART;
}

/** Whether a place lies within some metres of the straight between two others. */
function isBeside(place: Place, from: Place, to: Place, metres: number): boolean {
  const scale = metresPerDegree(place.lat);
  const x = eastward(place.lon, from.lon) * scale.lon;
  const y = (from.lat - place.lat) * scale.lat;
  const dx = eastward(from.lon, to.lon) * scale.lon;
  const dy = (to.lat - from.lat) * scale.lat;
  const length = dx * dx + dy * dy;
  const share = length === 0 ? 0 : Math.min(1, Math.max(0, -(x * dx + y * dy) / length));
  return Math.hypot(x + share * dx, y + share * dy) <= metres;
}
