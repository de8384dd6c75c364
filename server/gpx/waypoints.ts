import { distance, eastward } from '../calc/geodesy.js';
import type { Point } from '../calc/route.js';
import type { Place } from './gather.js';
import { kindsOf } from './meaning.js';
import type { Waypoint } from './measured.js';
import { publicName } from './names.js';

const MOST_OFF_METRES = 250;
const MOST_WAYPOINTS = 60;
const MOST_NAME = 80;
/** Each place is compared with the whole way: of very many, the first are taken. */
const MOST_COMPARED = 500;
/** No degree of latitude is shorter on WGS84. */
const METRES_PER_DEGREE = 110_574;

/** A recognised place of the file, and where it is. */
export interface PlacedWaypoint extends Waypoint {
  lat: number;
  lon: number;
}

/** The places whose meaning is known and that lie by the way, in their order along it; of more than 60 the nearest to it. */
export function placedWaypoints(places: Place[], segments: Point[][], alongs: number[][]): PlacedWaypoint[] {
  const isNear = nearTo(segments);
  return places
    .filter((place) => isNear(place) && kindsOf(place).length > 0)
    .slice(0, MOST_COMPARED)
    .map((place) => placed(place, nearest(place, segments, alongs)))
    .filter((waypoint) => waypoint.offMetres <= MOST_OFF_METRES)
    .sort((a, b) => a.offMetres - b.offMetres)
    .slice(0, MOST_WAYPOINTS)
    .sort((a, b) => a.metres - b.metres);
}

function placed(place: Place, { metres, offMetres }: { metres: number; offMetres: number }): PlacedWaypoint {
  const { lat, lon } = place;
  return {
    name: publicName(place.name, MOST_NAME),
    kinds: kindsOf(place),
    metres: Math.round(metres),
    offMetres: Math.round(offMetres),
    lat,
    lon,
  };
}

/** Leaves out at little cost what is nowhere near: by latitude alone, which has no far side. */
function nearTo(segments: Point[][]): (place: Place) => boolean {
  let [south, north] = [90, -90];
  for (const { lat } of segments.flat()) {
    south = Math.min(south, lat);
    north = Math.max(north, lat);
  }
  const margin = (2 * MOST_OFF_METRES) / METRES_PER_DEGREE;
  return ({ lat }) => lat >= south - margin && lat <= north + margin;
}

/** The point of the way nearest to a place, on a plane laid around the place: exact enough within the few hundred metres that count. */
function nearest(place: Place, segments: Point[][], alongs: number[][]): { metres: number; offMetres: number } {
  const narrowing = Math.cos((place.lat * Math.PI) / 180);
  let best = { square: Number.POSITIVE_INFINITY, segment: 0, index: 0, part: 0 };
  segments.forEach((points, segment) => {
    let [x0, y0] = [0, 0];
    points.forEach((point, index) => {
      const x = eastward(place.lon, point.lon) * narrowing;
      const y = point.lat - place.lat;
      if (index > 0) {
        const part = partNearestOrigin(x0, y0, x, y);
        const square = (x0 + part * (x - x0)) ** 2 + (y0 + part * (y - y0)) ** 2;
        if (square < best.square) best = { square, segment, index: index - 1, part };
      }
      [x0, y0] = [x, y];
    });
  });
  return measured(place, best, segments, alongs);
}

function measured(place: Place, at: { segment: number; index: number; part: number }, segments: Point[][], alongs: number[][]) {
  const [from, to] = (segments[at.segment] ?? []).slice(at.index, at.index + 2);
  const [before, after] = (alongs[at.segment] ?? []).slice(at.index, at.index + 2);
  if (!from || !to || before === undefined || after === undefined) throw new Error('a way has segments of two points or more');
  const lat = from.lat + at.part * (to.lat - from.lat);
  const lon = from.lon + at.part * eastward(from.lon, to.lon);
  return { metres: before + at.part * (after - before), offMetres: distance(place.lat, place.lon, lat, lon) };
}

/** How far from one end to the other (0 to 1) a stretch comes nearest to the origin. */
function partNearestOrigin(x0: number, y0: number, x1: number, y1: number): number {
  const [dx, dy] = [x1 - x0, y1 - y0];
  const square = dx * dx + dy * dy;
  return square === 0 ? 0 : Math.min(1, Math.max(0, -(x0 * dx + y0 * dy) / square));
}
