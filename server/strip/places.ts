import type { Window } from '../calc/stops.js';
import { kindWords } from '../walks/stop-words.js';
import { STOP_KINDS, type Stop, type StopKind } from '../walks/stops.js';

/** Stops no further from one another are one place to whoever walks there. */
const TOGETHER_METRES = 60;

/** What stands at one point of the way: one stop, or several close by. */
export interface Place {
  metres: number;
  /** In the order in which kinds are shown; none where the leader only named the place. */
  kinds: StopKind[];
  /** The stops' names, joined; may be ''. */
  name: string;
  minutes: number;
  window: Window;
}

export interface Places {
  /** What is at the meeting point itself, and at the end. */
  start: Place | null;
  along: Place[];
  finish: Place | null;
}

/** The stops as places in their order. @param windows when the group comes to each stop, in the same order */
export function placesOf(stops: Stop[], windows: Window[], distanceMetres: number): Places {
  const groups: { stop: Stop; window: Window }[][] = [];
  stops.forEach((stop, index) => {
    const window = windows[index];
    if (!window) throw new Error(`no arrival was worked out for stop ${index}`);
    const first = groups.at(-1)?.[0]?.stop;
    if (first && stop.metres - first.metres <= TOGETHER_METRES) groups.at(-1)?.push({ stop, window });
    else groups.push([{ stop, window }]);
  });
  const places = groups.map((group) => place(group, distanceMetres));
  const isStart = ({ metres }: Place) => metres <= TOGETHER_METRES;
  const isFinish = ({ metres }: Place) => distanceMetres - metres <= TOGETHER_METRES;
  return {
    start: places.find(isStart) ?? null,
    along: places.filter((one) => !isStart(one) && !isFinish(one)),
    finish: places.find((one) => isFinish(one) && !isStart(one)) ?? null,
  };
}

function place(group: { stop: Stop; window: Window }[], distanceMetres: number): Place {
  const stops = group.map(({ stop }) => stop);
  const names = new Set(stops.map(({ name }) => name).filter((name) => name !== ''));
  return {
    metres: Math.min(stops[0]?.metres ?? 0, distanceMetres),
    kinds: STOP_KINDS.filter((kind) => stops.some(({ kinds }) => kinds.includes(kind))),
    name: [...names].join(', '),
    minutes: stops.reduce((sum, { minutes }) => sum + minutes, 0),
    window: group[0]?.window ?? { fastest: 0, slowest: 0 },
  };
}

/** "Water, shop"; a place that is only named is a "Stop". */
export function placeKinds(kinds: StopKind[]): string {
  return kindWords(kinds, 'stop');
}

/** "Kiln Lane, 15 min": what stands under the kinds. */
export function placeNote({ name, minutes }: Place): string {
  return [name, minutes > 0 ? `${minutes}\u00a0min` : ''].filter((part) => part !== '').join(', ');
}

/** A shape in parts/way-marks.hbs. */
export type Mark = StopKind | 'place';

/** The shape that stands for a place: that of its first kind. */
export function markOf({ kinds }: Place): Mark {
  return kinds[0] ?? 'place';
}

/** A place on the way as a drawing without times shows it. */
export interface PlaceAlong {
  metres: number;
  mark: Mark;
  /** "water, shop" */
  words: string;
}

/** The places between the start and the finish, without their times. */
export function placesAlong(stops: Stop[], distanceMetres: number): PlaceAlong[] {
  const untimed = stops.map(() => ({ fastest: 0, slowest: 0 }));
  return placesOf(stops, untimed, distanceMetres).along.map((place) => ({
    metres: place.metres,
    mark: markOf(place),
    words: placeKinds(place.kinds).toLowerCase(),
  }));
}
