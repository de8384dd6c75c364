import { lengthWords } from '../calc/measure.js';
import type { Shape } from '../calc/route.js';
import type { GroupSettings } from '../settings/rules.js';
import { compass } from '../walks/turn-words.js';
import type { Mark, PlaceAlong } from './places.js';
import type { Flat } from './plane.js';

const SHAPES: Record<Shape, string> = { loop: 'A loop of', 'out and back': 'Out and back,', 'one way': 'One way,' };
const MARKS: Record<Mark, string> = {
  toilets: 'WC: toilets',
  water: 'drop: water',
  shop: 'bag: shop',
  shelter: 'roof: shelter',
  regroup: 'ring: regroup',
  place: 'dot: stop',
};

/** "A loop of 8.2 mi, furthest 2.1 mi north-east of the start; stops: toilets at 2.4 mi." */
export function mapWords(
  route: { shape: Shape },
  flat: Flat[][],
  distanceMetres: number,
  places: PlaceAlong[],
  settings: GroupSettings,
): string {
  const { units } = settings;
  const length = (metres: number) => lengthWords(metres, units);
  const away = (point: Flat) => Math.hypot(point.east, point.north);
  const furthest = flat.flat().reduce((far, point) => (away(point) > away(far) ? point : far));
  const stops = places.map(({ words, metres }) => `${words} at ${length(metres)}`);
  const list = stops.length === 0 ? 'no stops' : `stops: ${stops.join('; ')}`;
  return `${SHAPES[route.shape]} ${length(distanceMetres)}, furthest ${length(away(furthest))} ${direction(furthest)} of the start; ${list}.`;
}

function direction({ east, north }: Flat): string {
  return compass((Math.atan2(east, north) * 180) / Math.PI);
}

/** What the shapes on the drawing mean, and how true it is. */
export function mapLegend(places: PlaceAlong[], route: { shape: Shape; lineErrorMetres: number }): string[] {
  const ends = route.shape === 'one way' ? 'Square: start; flag: finish' : 'Square: start and finish';
  const kinds = [...new Set(places.map(({ mark }) => MARKS[mark]))];
  return [`${[ends, ...kinds].join('; ')}.`];
}
