import { arrivals, type Window } from '../calc/stops.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from './facts.js';

export type Timed = Pick<WalkFacts, 'setOffAt' | 'distanceMetres' | 'ascentMetres' | 'effortMetres' | 'stops'>;
type Paces = Pick<GroupSettings, 'fastPace' | 'slowPace'>;

/** When the fastest and the slowest of the group come to each stop, in the stops' order, and to the finish: ms, whole minutes. */
export function arrivalTimes(facts: Timed, paces: Paces): { stops: Window[]; finish: Window } {
  const halts = facts.stops.map((stop) => ({ ...stop, regroup: stop.kinds.includes('regroup') }));
  return arrivals(facts, halts, paces);
}

/** When the fastest and the slowest of the group should be back, ms. */
export function finishTimes(facts: Timed, paces: Paces): Window {
  return arrivalTimes(facts, paces).finish;
}
