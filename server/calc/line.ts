import { eastward, metresPerDegree } from './geodesy.js';

export interface Place {
  lat: number;
  lon: number;
}

/** The points of a line, unrolled across the date line, each with the metres that a degree measures there. */
interface Laid {
  lat: Float64Array;
  lon: Float64Array;
  metresPerLat: Float64Array;
  metresPerLon: Float64Array;
}

/** So many splits deep, a line is one that sheds a point at a time, as a spiral does: halving keeps the work from growing with the square. */
const MOST_SPLITS = 64;

/**
 * The indexes of the points that draw a line well enough, ascending, with the first and the last: no point left out lies further than
 * `toleranceMetres` from the line through those kept, straight in latitude and longitude, as it is drawn.
 * Source: D. H. Douglas and T. K. Peucker, Cartographica 10 (1973).
 */
export function simplify(points: readonly Place[], toleranceMetres: number): number[] {
  const laid = lay(points);
  const last = points.length - 1;
  const kept = new Set(last < 0 ? [] : [0, last]);
  const open: [first: number, last: number, splits: number][] = [[0, last, 0]];
  for (let stretch = open.pop(); stretch; stretch = open.pop()) {
    const [from, to, splits] = stretch;
    const { index, metres } = furthest(laid, from, to);
    if (metres <= toleranceMetres) continue;
    const split = splits < MOST_SPLITS ? index : (from + to) >> 1;
    kept.add(split);
    open.push([from, split, splits + 1], [split, to, splits + 1]);
  }
  return [...kept].sort((a, b) => a - b);
}

/** The point between two others that lies furthest from the straight between them. */
function furthest(laid: Laid, first: number, last: number): { index: number; metres: number } {
  let [index, most] = [first, -1];
  for (let between = first + 1; between < last; between++) {
    const square = squareFrom(laid, between, first, last);
    if (square > most) [index, most] = [between, square];
  }
  return { index, metres: most < 0 ? 0 : Math.sqrt(most) };
}

/** The square of a point's distance from the straight between two others, measured with the metre of the point's own latitude. */
function squareFrom({ lat, lon, metresPerLat, metresPerLon }: Laid, point: number, first: number, last: number): number {
  const [north, east] = [at(metresPerLat, point), at(metresPerLon, point)];
  const x = (at(lon, first) - at(lon, point)) * east;
  const y = (at(lat, first) - at(lat, point)) * north;
  const dx = (at(lon, last) - at(lon, first)) * east;
  const dy = (at(lat, last) - at(lat, first)) * north;
  const length = dx * dx + dy * dy;
  const share = length === 0 ? 0 : Math.min(1, Math.max(0, -(x * dx + y * dy) / length));
  return (x + share * dx) ** 2 + (y + share * dy) ** 2;
}

function at(values: Float64Array, index: number): number {
  return values[index] ?? Number.NaN;
}

function lay(points: readonly Place[]): Laid {
  const { length } = points;
  const laid: Laid = {
    lat: new Float64Array(length),
    lon: new Float64Array(length),
    metresPerLat: new Float64Array(length),
    metresPerLon: new Float64Array(length),
  };
  let last = points[0]?.lon ?? 0;
  points.forEach(({ lat, lon }, index) => {
    const metres = metresPerDegree(lat);
    last += eastward(last, lon);
    laid.lat[index] = lat;
    laid.lon[index] = last;
    laid.metresPerLat[index] = metres.lat;
    laid.metresPerLon[index] = metres.lon;
  });
  return laid;
}
