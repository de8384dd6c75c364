import { eastward } from '../calc/geodesy.js';
import { fromMetres, lengthWords, toMetres, type Units } from '../calc/measure.js';
import type { LineVertex } from '../gpx/measured.js';
import type { WalkFacts } from '../walks/facts.js';
import { kindWords } from '../walks/stop-words.js';

/** A place of the walk as one would tell it to the emergency services. */
export interface PackPoint {
  /** "mile 3", "km 3"; "start", "finish". */
  at: string;
  /** What is here; '' where it is only on the way. */
  name: string;
  /** "41.30012, -85.10007", decimal degrees WGS84; null where the walk has no route. */
  point: string | null;
  /** The stops before and after, and how far away along the walk: "Lower lock, 0.6 mi back". */
  before: string | null;
  after: string | null;
}

type Walk = Pick<WalkFacts, 'distanceMetres' | 'stops' | 'meetingPoint' | 'lat' | 'lon'>;

interface Known {
  metres: number;
  name: string;
  /** As the rows before and after it call it. */
  short: string;
}

/** A whole mile or kilometre this near to a stop is that stop. */
const SAME_PLACE_METRES = 80;

/**
 * Start, stops, every whole mile or kilometre, and finish, in the order walked. The route is stretched to the length the leader gave, as
 * everywhere. Pure. @param line of the route, null where there is none: then only the meeting point has coordinates
 */
export function packPoints(walk: Walk, line: LineVertex[][] | null, units: Units): PackPoint[] {
  const known = stopsOf(walk);
  const unit = toMetres(1, units);
  const whole = Array.from({ length: Math.floor(walk.distanceMetres / unit) }, (_, index) => ({
    metres: (index + 1) * unit,
    name: '',
    short: '',
  }));
  const between = whole.filter((one) => known.every((stop) => Math.abs(stop.metres - one.metres) > SAME_PLACE_METRES));
  const start = walk.lat === null || walk.lon === null ? null : degrees(walk.lat, walk.lon);
  return [...known, ...between]
    .sort((a, b) => a.metres - b.metres)
    .map(({ metres, name }) => ({
      at: atWords(metres, walk.distanceMetres, units),
      name,
      point: (line && pointOn(line, metres / walk.distanceMetres)) ?? (metres === 0 ? start : null),
      before: away(
        known.findLast((stop) => stop.metres < metres),
        metres,
        units,
        'back',
      ),
      after: away(
        known.find((stop) => stop.metres > metres),
        metres,
        units,
        'on',
      ),
    }));
}

/** Start, stops and finish; what is at the start or at the finish is named with it. */
function stopsOf({ distanceMetres, stops, meetingPoint }: Walk): Known[] {
  const start = { metres: 0, name: `Start: ${meetingPoint}`, short: 'Start' };
  const finish = { metres: distanceMetres, name: 'Finish', short: 'Finish' };
  const places = new Map<number, Known>([start, finish].map((place) => [place.metres, place]));
  for (const { metres, name, kinds } of stops) {
    const kind = kindWords(kinds, 'short way');
    const words = name === '' ? kind : `${name}, ${kind.toLowerCase()}`;
    const known = places.get(metres);
    places.set(metres, known ? { ...known, name: `${known.name}; ${words}` } : { metres, name: words, short: name || kind });
  }
  return [...places.values()].sort((a, b) => a.metres - b.metres);
}

function atWords(metres: number, length: number, units: Units): string {
  if (metres === 0) return 'start';
  const far = Math.round(fromMetres(metres, units) * 10) / 10;
  const words = `${units === 'mi' ? 'mile' : 'km'} ${far}`;
  return metres === length ? `finish, ${words}` : words;
}

function away(stop: Known | undefined, metres: number, units: Units, way: 'back' | 'on'): string | null {
  return stop ? `${stop.short}, ${lengthWords(Math.abs(stop.metres - metres), units)} ${way}` : null;
}

/** Where a part of the way lies, as text. */
function pointOn(line: LineVertex[][], part: number): string | null {
  const vertices = line.flat();
  const length = vertices.at(-1)?.[2] ?? 0;
  const metres = Math.min(1, Math.max(0, part)) * length;
  const index = vertices.findIndex((vertex) => vertex[2] >= metres);
  const to = vertices[index] ?? vertices.at(-1);
  const from = vertices[index - 1] ?? to;
  if (!from || !to) return null;
  const share = to[2] > from[2] ? (metres - from[2]) / (to[2] - from[2]) : 0;
  return degrees(from[0] + (to[0] - from[0]) * share, from[1] + eastward(from[1], to[1]) * share);
}

/** Decimal degrees to five places: about a metre. */
function degrees(lat: number, lon: number): string {
  return `${lat.toFixed(5)}, ${eastward(0, lon).toFixed(5)}`;
}
