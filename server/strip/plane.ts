import { eastward } from '../calc/geodesy.js';
import type { LineVertex } from '../gpx/measured.js';

/** A point of the drawing, and how far along the way it is. */
export interface Drawn {
  x: number;
  y: number;
  metres: number;
}

/** Metres in a degree of latitude: the mean over the ellipsoid (WGS84). */
const METRES_PER_DEGREE = 111_195;
const RADIANS = Math.PI / 180;

/** A point in metres east and north of the way's first. */
export interface Flat {
  east: number;
  north: number;
  metres: number;
}

/** The way on a plane around its start: degrees taken as squares of the size they have in its middle latitude. Good to a hundredth over a day's walk. */
export function flatten(line: LineVertex[][]): Flat[][] {
  const [first] = line.flat();
  if (!first) return [];
  const latitudes = line.flat().map(([lat]) => lat);
  const middle = (Math.min(...latitudes) + Math.max(...latitudes)) / 2;
  const perLongitude = METRES_PER_DEGREE * Math.max(0.01, Math.cos(middle * RADIANS));
  return line.map((segment) =>
    segment.map(([lat, lon, metres]) => ({
      // A way over the 180th meridian goes on, it does not turn round the world.
      east: eastward(first[1], lon) * perLongitude,
      north: (lat - first[0]) * METRES_PER_DEGREE,
      metres,
    })),
  );
}

/** Where the flat way stands on the drawing. */
export interface Fitted {
  segments: Drawn[][];
  /** Units of the drawing in a metre. */
  perMetre: number;
  height: number;
}

/** Fits the way into `size` units across and at most as many down, north on top, `margin` free all round. */
export function fitted(flat: Flat[][], size: number, margin: number): Fitted {
  const points = flat.flat();
  const east = extent(points.map((point) => point.east));
  const north = extent(points.map((point) => point.north));
  const room = size - 2 * margin;
  const perMetre = room / Math.max(east.to - east.from, north.to - north.from, 1);
  const left = (size - (east.to - east.from) * perMetre) / 2;
  return {
    segments: flat.map((segment) =>
      segment.map((point) => ({
        x: left + (point.east - east.from) * perMetre,
        y: margin + (north.to - point.north) * perMetre,
        metres: point.metres,
      })),
    ),
    perMetre,
    height: 2 * margin + (north.to - north.from) * perMetre,
  };
}

function extent(values: number[]): { from: number; to: number } {
  return { from: Math.min(...values), to: Math.max(...values) };
}

/** The point so far along the way, with the direction it goes there (degrees clockwise from the drawing's right). */
export function pointAt(segments: Drawn[][], metres: number): { x: number; y: number; turn: number } {
  let last: { x: number; y: number; turn: number } = { ...(segments[0]?.[0] ?? { x: 0, y: 0 }), turn: 0 };
  for (const segment of segments) {
    for (const [index, to] of segment.entries()) {
      const from = segment[index - 1];
      if (!from || to.metres <= from.metres) continue;
      const part = (metres - from.metres) / (to.metres - from.metres);
      const turn = Math.atan2(to.y - from.y, to.x - from.x) / RADIANS;
      if (part <= 1) return { x: from.x + (to.x - from.x) * Math.max(0, part), y: from.y + (to.y - from.y) * Math.max(0, part), turn };
      last = { x: to.x, y: to.y, turn };
    }
  }
  return last;
}
