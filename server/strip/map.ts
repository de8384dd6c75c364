import type { Shape } from '../calc/route.js';
import type { LineVertex } from '../gpx/measured.js';
import type { GroupSettings } from '../settings/rules.js';
import type { Stop } from '../walks/stops.js';
import { freePlaces } from './free-places.js';
import { mapLegend, mapWords } from './map-words.js';
import { type Placed, tenth, type Written } from './pen.js';
import { placesAlong } from './places.js';
import { type Drawn, fitted, flatten, pointAt } from './plane.js';
import { scaleBar } from './scale-bar.js';

/** A way as a file gave it, reduced for drawing: its vertices lie no further than the error from the full line. */
export interface MapRoute {
  line: LineVertex[][];
  lineErrorMetres: number;
  shape: Shape;
}

/** The route as its template draws it, 368 units wide. */
export interface MapModel {
  height: number;
  /** The line in pieces: each is laid over those before it on a casing of its own, so that crossings can be read. */
  pieces: string[];
  arrows: { x: number; y: number; turn: number }[];
  leaders: string;
  marks: Placed[];
  scale: { path: string; words: Written };
  north: { x: number; y: number };
  caption: string[];
  /** What the drawing shows, for whoever does not see it. */
  text: string;
}

const SIZE = 368;
const MARGIN = 24;
/** Below the way: the scale bar and the north arrow. */
const FOOT = 38;
const PIECES = 16;
/** Arrows at these parts of the way, between the places where marks usually are. */
const ARROWS: Record<Shape, number[]> = { loop: [0.12, 0.38, 0.62, 0.88], 'out and back': [0.22, 0.78], 'one way': [0.2, 0.5, 0.8] };
/** A mark in the way moves an arrow on or back; where nothing is free there is none. */
const NUDGES = [0, 0.04, -0.04, 0.08, -0.08];
const CLEAR = 24;
/** On the way out and back the arrows stand beside the line, each on its own right. */
const BESIDE = 12;

/** Lays out the drawing of a route, north on top; null where there is no line to draw. */
export function routeMap(route: MapRoute, walk: { distanceMetres: number; stops: Stop[] }, settings: GroupSettings): MapModel | null {
  const flat = flatten(route.line.filter((segment) => segment.length > 1));
  if (flat.length === 0) return null;
  const { segments, perMetre, height } = fitted(flat, SIZE, MARGIN);
  const length = segments.at(-1)?.at(-1)?.metres ?? 0;
  const along = (metres: number) => pointAt(segments, (metres / walk.distanceMetres) * length);
  const places = placesAlong(walk.stops, walk.distanceMetres);
  const { marks, leaders } = freePlaces(
    ends(segments, route.shape),
    places.map(({ mark, metres }) => ({ mark, ...along(metres) })),
    SIZE,
  );
  return {
    height: Math.ceil(height + FOOT),
    pieces: pieces(segments),
    arrows: ARROWS[route.shape].flatMap((part) => {
      const tries = NUDGES.map((nudge) => arrow(along((part + nudge) * walk.distanceMetres), route.shape));
      return tries.find((one) => marks.every((mark) => Math.hypot(mark.x - one.x, mark.y - one.y) > CLEAR)) ?? [];
    }),
    leaders,
    marks,
    scale: scaleBar(perMetre, MARGIN, height + FOOT - 12, settings.units),
    north: { x: SIZE - MARGIN, y: tenth(height + FOOT - 18) },
    caption: mapLegend(places, route),
    text: mapWords(route, flat, walk.distanceMetres, places, settings),
  };
}

function ends(segments: Drawn[][], shape: Shape): Placed[] {
  const [first, last] = [segments[0]?.[0], segments.at(-1)?.at(-1)];
  if (!first || !last) return [];
  const start = { mark: 'end', x: tenth(first.x), y: tenth(first.y) };
  return shape === 'one way' ? [start, { mark: 'flag', x: tenth(last.x), y: tenth(last.y) }] : [start];
}

function arrow({ x, y, turn }: { x: number; y: number; turn: number }, shape: Shape): { x: number; y: number; turn: number } {
  const right = ((turn + 90) * Math.PI) / 180;
  const off = shape === 'out and back' ? BESIDE : 0;
  return { x: tenth(x + off * Math.cos(right)), y: tenth(y + off * Math.sin(right)), turn: Math.round(turn) };
}

/** The line's paths, none over a gap, each a part of the way long and begun where the one before ends. */
function pieces(segments: Drawn[][]): string[] {
  const most = Math.max(2, Math.ceil(segments.flat().length / PIECES));
  return segments.flatMap((segment) => {
    const starts = Array.from({ length: Math.ceil((segment.length - 1) / most) }, (_, index) => index * most);
    return starts.map((start) => path(segment.slice(start, start + most + 1)));
  });
}

/** Each point counted from the one before, to a tenth: shorter to write, and no error adds up. */
function path(points: Drawn[]): string {
  let [atX, atY] = [0, 0];
  return points
    .map(({ x, y }, index) => {
      const [toX, toY] = [Math.round(x * 10), Math.round(y * 10)];
      const step = `${index === 0 ? 'M' : 'l'}${(toX - atX) / 10} ${(toY - atY) / 10}`;
      [atX, atY] = [toX, toY];
      return step;
    })
    .join('');
}
