import { onFoot } from './pace.js';

const SECONDS_PER_MINUTE = 60;
const MINUTE_MS = 60_000;
/** A time worked out as a hair over a whole minute is that minute. */
const HAIR_MINUTES = 1e-6;

/** What of a walk says how long it takes. */
export interface Way {
  setOffAt: number;
  distanceMetres: number;
  ascentMetres: number;
  /** The flat metres that take as long as the whole way; null where its heights are not known. */
  effortMetres: number | null;
}

/** A stop: where, and how long the group stays. At a regroup everyone waits for the last. */
export interface Halt {
  metres: number;
  /** The flat metres that take as long as the way to it. */
  effortMetres: number | null;
  minutes: number;
  regroup: boolean;
}

/** When the first and the last of the group come to a place, ms. */
export interface Window {
  fastest: number;
  slowest: number;
}

/** The group's flat paces, minutes a mile. */
export interface Paces {
  fastPace: number;
  slowPace: number;
}

/** Seconds for the fastest and for the slowest. */
interface Spans {
  fast: number;
  slow: number;
}

/**
 * When the fastest and the slowest come to each halt, in the order given, and to the finish: whole minutes, rounded up. Time on foot is the
 * effort at the group's flat pace (Tobler 1993) where it is known for every halt; else the distance, with the climb spread evenly
 * (Naismith 1892). To it come the minutes of each halt before.
 */
export function arrivals(way: Way, halts: readonly Halt[], paces: Paces): { stops: Window[]; finish: Window } {
  const walked = walking(way, halts, paces);
  const window = (place: Pick<Halt, 'metres' | 'effortMetres'>): Window => {
    const waits = waitsBefore(place.metres, halts, walked);
    const { fast, slow } = walked(place);
    return { fastest: after(way.setOffAt, fast + waits.fast), slowest: after(way.setOffAt, slow + waits.slow) };
  };
  return { stops: halts.map(window), finish: window({ metres: way.distanceMetres, effortMetres: way.effortMetres }) };
}

type Walked = (place: Pick<Halt, 'metres' | 'effortMetres'>) => Spans;

/** Tells the time on foot to a place. One halt without effort, and all are reckoned by distance: the two kinds of time don't compare. */
function walking(way: Way, halts: readonly Halt[], { fastPace, slowPace }: Paces): Walked {
  const byEffort = [way, ...halts].every(({ effortMetres }) => effortMetres !== null);
  const ascentPerMetre = way.distanceMetres > 0 ? way.ascentMetres / way.distanceMetres : 0;
  return ({ metres, effortMetres }) => {
    const flat = byEffort ? (effortMetres ?? metres) : metres;
    const ascent = byEffort ? 0 : metres * ascentPerMetre;
    return { fast: onFoot(flat, ascent, fastPace), slow: onFoot(flat, ascent, slowPace) };
  };
}

/** How long the fastest and the slowest stood still at the halts before a place. */
function waitsBefore(metres: number, halts: readonly Halt[], walked: Walked): Spans {
  let waits: Spans = { fast: 0, slow: 0 };
  for (const halt of halts.filter((each) => each.metres < metres)) {
    const stay = halt.minutes * SECONDS_PER_MINUTE;
    const { fast, slow } = walked(halt);
    const slowWait = waits.slow + stay;
    waits = { fast: halt.regroup ? slow + slowWait - fast : waits.fast + stay, slow: slowWait };
  }
  return waits;
}

function after(setOffAt: number, seconds: number): number {
  return setOffAt + Math.ceil(seconds / SECONDS_PER_MINUTE - HAIR_MINUTES) * MINUTE_MS;
}

/** The pieces between start, stops and finish that are longer than `mostMetres`, in their order. @param at metres along, of each stop */
export function stretches(at: readonly number[], lengthMetres: number, mostMetres: number): { from: number; to: number }[] {
  const stops = at.filter((metres) => metres > 0 && metres < lengthMetres).sort((a, b) => a - b);
  const ends = [...stops, lengthMetres];
  return ends.map((to, index) => ({ from: ends[index - 1] ?? 0, to })).filter(({ from, to }) => to - from > mostMetres);
}
