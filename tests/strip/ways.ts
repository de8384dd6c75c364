import type { LineVertex } from '../../server/gpx/measured.js';

/** Metres to a degree of latitude, about. */
const DEGREE = 111_195;

/** A way by its corners in metres east and north of a place in the middle latitudes. */
export function wayThrough(corners: [east: number, north: number][], lat = 41.3, lon = -85.1): LineVertex[] {
  let metres = 0;
  return corners.map(([east, north], index) => {
    const before = corners[index - 1];
    if (before) metres += Math.hypot(east - before[0], north - before[1]);
    const turned = ((lon + east / (DEGREE * Math.cos((lat * Math.PI) / 180)) + 540) % 360) - 180;
    return [lat + north / DEGREE, turned, metres];
  });
}

/** Round a circle of a mile and a quarter, from its southernmost point. */
export function circle(vertices: number): LineVertex[] {
  const corners = Array.from({ length: vertices }, (_, index): [number, number] => {
    const turn = (index / (vertices - 1)) * 2 * Math.PI;
    return [2000 * Math.sin(turn), 2000 * (1 - Math.cos(turn))];
  });
  return wayThrough(corners);
}
