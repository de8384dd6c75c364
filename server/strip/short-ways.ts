import { lengthWords, type Units } from '../calc/measure.js';
import type { Stop } from '../walks/stops.js';
import { tenth } from './pen.js';

/** Where a short way leaves, where it comes back, how long it makes the whole walk (metres), and which lane it is drawn in. */
export interface ShortWay {
  leaves: number;
  rejoins: number;
  length: number;
  lane: number;
}

/** Right of the line, for ways that overlap. A fourth at one place shares the last. */
export const LANES = [121, 128, 135] as const;
const LINE = 104;
const BEND = 14;
const AT_FINISH_METRES = 60;

/** The short ways of a walk, each in the first lane that is free where it runs. */
export function shortWays(stops: Stop[], distanceMetres: number): ShortWay[] {
  const taken: number[] = [];
  return stops.flatMap((stop) => {
    if (!stop.short) return [];
    const leaves = Math.min(stop.metres, distanceMetres);
    const rejoins = Math.min(Math.max(stop.short.rejoins, leaves), distanceMetres);
    const free = LANES.findIndex((_, lane) => (taken[lane] ?? 0) <= leaves);
    const lane = free === -1 ? LANES.length - 1 : free;
    taken[lane] = Math.max(taken[lane] ?? 0, rejoins);
    return [{ leaves, rejoins, length: stop.short.length, lane }];
  });
}

/** The path out of the line, down its lane and back into it. @param y where a distance is drawn */
export function shortWayPath({ leaves, rejoins, lane }: ShortWay, y: (metres: number) => number): string {
  const x = laneX(lane);
  const [from, to] = [y(leaves), y(rejoins)];
  const bend = Math.min(BEND + lane * 4, (to - from) / 2);
  return `M${LINE} ${tenth(from)}C${x} ${tenth(from)} ${x} ${tenth(from + bend)} ${x} ${tenth(from + bend)}V${tenth(to - bend)}C${x} ${tenth(to - bend)} ${x} ${tenth(to)} ${LINE} ${tenth(to)}`;
}

export function laneX(lane: number): number {
  return LANES[lane] ?? LANES[0];
}

/** "Short way back: 5.5 mi in all", where it comes back at the finish. */
export function shortWayWords(way: ShortWay, distanceMetres: number, units: Units): string {
  const back = distanceMetres - way.rejoins <= AT_FINISH_METRES ? 'Short way back' : 'Short way';
  return `${back}: ${lengthWords(way.length, units)} in all`;
}
