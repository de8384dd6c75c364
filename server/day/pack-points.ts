import { fromMetres, lengthWords, toMetres, type Units } from '../calc/measure.js';
import type { LineVertex } from '../gpx/measured.js';
import type { WalkFacts } from '../walks/facts.js';
import { kindWords } from '../walks/stop-words.js';
import { type Point, pointOfWalk, pointWords } from './where.js';

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
 * Start, stops, every whole mile or kilometre, and finish, in the order walked. The points are those of the
 * emergency page. Pure. @param line of the route, null where there is none: then only the meeting point has coordinates
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
  const start: Point | null = walk.lat === null || walk.lon === null ? null : { lat: walk.lat, lon: walk.lon };
  const pointAt = (metres: number) => pointOfWalk(line, metres, walk) ?? (metres === 0 ? start : null);
  const spoken = (point: Point | null) => point && pointWords(point);
  return [...known, ...between]
    .sort((a, b) => a.metres - b.metres)
    .map(({ metres, name }) => ({
      at: atWords(metres, walk.distanceMetres, units),
      name,
      point: spoken(pointAt(metres)),
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
