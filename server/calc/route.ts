import { step } from './geodesy.js';

/** A point of a way: degrees WGS84, metres above the sea or null. */
export interface Point {
  lat: number;
  lon: number;
  ele: number | null;
}

export type Shape = 'loop' | 'out and back' | 'one way';

/** Ups and downs smaller than this are taken for the instrument's noise: barometers and satellites stray by a few metres. */
export const CLIMB_THRESHOLD_METRES = 5;

/**
 * Metres climbed and descended over heights in their order along the way: from each summit to the next hollow and on, where only what is
 * parted from its neighbours by `threshold` metres is a summit or a hollow; 0 counts every rise. Points laid between two others change
 * nothing, and the way back has the same figures the other way round.
 * Source: hysteresis between turning points, as in rainflow counting (ASTM E1049) with a discard level.
 */
export function climb(elevations: readonly number[], threshold: number): { ascent: number; descent: number } {
  const gone = { ascent: 0, descent: 0 };
  // What the way did last that counts: 1 up, −1 down, 0 nothing yet. Until it did, the start may be as low or as high as any so far.
  let heading = 0;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const height of elevations) {
    if (heading <= 0) low = Math.min(low, height);
    if (heading >= 0) high = Math.max(high, height);
    if (heading <= 0 && height > low && height - low >= threshold) {
      if (heading < 0) gone.descent += high - low;
      heading = 1;
      high = height;
    } else if (heading >= 0 && height < high && high - height >= threshold) {
      if (heading > 0) gone.ascent += high - low;
      heading = -1;
      low = height;
    }
  }
  if (heading > 0) gone.ascent += high - low;
  if (heading < 0) gone.descent += high - low;
  return gone;
}

/** Metres along the way at each point of each segment. The gap between two segments has no length: nobody knows how it was crossed. */
export function alongs(segments: readonly (readonly Point[])[]): number[][] {
  let metres = 0;
  return segments.map((points) =>
    points.map((point, index) => {
      const last = points[index - 1];
      if (last) metres += step(last.lat, last.lon, point.lat, point.lon);
      return metres;
    }),
  );
}
