import type { Point } from '../calc/route.js';
import { REFUSED, refused } from './refusals.js';

export const MOST_POINTS = 100_000;
/** Enough for a name or a figure; more of a text is not kept. */
const MOST_CHARACTERS = 1000;
const LOWEST_METRES = -500;
const HIGHEST_METRES = 9000;

/** A single place of a file (`wpt`), as it is named there. */
export interface Place {
  lat: number;
  lon: number;
  name: string;
  symbol: string;
  type: string;
}

/** What a file holds: the way, a list a segment, each of two points or more; its single places; its own name. */
export interface GpxRead {
  segments: Point[][];
  waypoints: Place[];
  name: string;
}

type Attributes = Record<string, string>;
type PointElement = 'trkpt' | 'rtept' | 'wpt';

const SEGMENT_ELEMENTS = new Set(['trk', 'trkseg', 'rte']);
const TEXT_ELEMENTS = new Set(['ele', 'name', 'sym', 'type']);

function isPoint(name: string | undefined): name is PointElement {
  return name === 'trkpt' || name === 'rtept' || name === 'wpt';
}

/** Takes a file's elements as they come, by their names without prefix; whatever it does not know, and all within extensions, is passed over. */
export function gatherer() {
  const path: string[] = [];
  const ways: Record<'trkpt' | 'rtept', Point[][]> = { trkpt: [], rtept: [] };
  const counts: Record<PointElement, number> = { trkpt: 0, rtept: 0, wpt: 0 };
  const waypoints: Place[] = [];
  const names = new Map<string, string>();
  let segment: Point[] | null = null;
  let point: Point | null = null;
  let place: Place | null = null;
  let text: string | null = null;

  /** Gives why the file is refused, or null. */
  function open(name: string, attributes: Attributes, line: number): string | null {
    const passedOver = path.includes('extensions');
    path.push(name);
    text = TEXT_ELEMENTS.has(name) && !passedOver ? '' : null;
    if (passedOver) return null;
    if (SEGMENT_ELEMENTS.has(name)) segment = null;
    return isPoint(name) ? openPoint(name, attributes, line) : null;
  }

  function openPoint(name: PointElement, attributes: Attributes, line: number): string | null {
    counts[name] += 1;
    if (counts[name] > MOST_POINTS) return refused.points(MOST_POINTS);
    const lat = coordinate(attributes.lat, 90);
    if (lat === null) return refused.latitude(line);
    const east = coordinate(attributes.lon, 180);
    if (east === null) return refused.longitude(line);
    // The schema knows no 180: the meridian is -180 from both sides.
    const lon = east === 180 ? -180 : east;
    if (name === 'wpt') {
      place = { lat, lon, name: '', symbol: '', type: '' };
      waypoints.push(place);
      return null;
    }
    point = { lat, lon, ele: null };
    if (segment === null) {
      segment = [];
      ways[name].push(segment);
    }
    segment.push(point);
    return null;
  }

  function hear(heard: string): void {
    if (text !== null && text.length < MOST_CHARACTERS) text += heard.slice(0, MOST_CHARACTERS);
  }

  function close(): void {
    const name = path.pop() ?? '';
    const parent = path.at(-1);
    if (text !== null) take(name, parent, text.trim());
    text = null;
  }

  function take(name: string, parent: string | undefined, said: string): void {
    if (parent === 'wpt' && place) {
      if (name === 'name') place.name = said;
      else if (name === 'sym') place.symbol = said;
      else if (name === 'type') place.type = said;
    } else if (isPoint(parent) && point) {
      if (name === 'ele') point.ele = height(said);
    } else if (name === 'name' && parent && said !== '' && !names.has(parent)) names.set(parent, said);
  }

  function finish(): GpxRead | { fault: string } {
    const segments = [ways.trkpt, ways.rtept].map(walkable).find((way) => way.length > 0);
    const name = ['metadata', 'gpx', 'trk', 'rte'].map((parent) => names.get(parent)).find((said) => said !== undefined);
    if (segments) return { segments, waypoints, name: name ?? '' };
    if (counts.trkpt + counts.rtept > 0) return { fault: REFUSED.tooFewPoints };
    return { fault: waypoints.length > 0 ? REFUSED.onlyWaypoints : REFUSED.noTrack };
  }

  return { open, hear, close, finish, depth: () => path.length };
}

/** Segments without points that say where one already is, and without those that lead nowhere. */
function walkable(segments: Point[][]): Point[][] {
  return segments.map(withoutRepeats).filter((segment) => segment.length > 1);
}

function withoutRepeats(segment: Point[]): Point[] {
  const kept: Point[] = [];
  for (const point of segment) {
    const last = kept.at(-1);
    if (last && last.lat === point.lat && last.lon === point.lon) last.ele ??= point.ele;
    else kept.push(point);
  }
  return kept;
}

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** Some write their own country's decimal comma. */
function number(text: string | undefined): number | null {
  const spelled = text?.trim().replace(',', '.') ?? '';
  return spelled.length <= 40 && NUMBER.test(spelled) ? Number(spelled) : null;
}

/** Degrees, to the seventh decimal (a centimetre), which is what the clean file keeps. */
function coordinate(text: string | undefined, most: number): number | null {
  const degrees = number(text);
  return degrees === null || Math.abs(degrees) > most ? null : Math.round(degrees * 1e7) / 1e7 + 0;
}

/** Metres, to a tenth; null for what is none, or nowhere on foot. */
function height(text: string): number | null {
  const metres = number(text);
  return metres === null || metres < LOWEST_METRES || metres > HIGHEST_METRES ? null : Math.round(metres * 10) / 10 + 0;
}
