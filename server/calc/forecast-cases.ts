import { betaDraw, chances, mixed, named } from './draws.js';
import type { ForecastLeader, Turn } from './forecast-choices.js';

const SEED = 20_270_612;
/** A leader's own share begins as the group's, and that counts for as much as so many walks of their own. Our own number, no source. */
const GROUP_WALKS = 8;
/** More than anybody can promise a month. */
const MOST_WALKS = 32;

/** Walks promised in months that are over, and how many of them were led. */
type History = Pick<ForecastLeader, 'promised' | 'kept'>;

/** Which gaps are filled, 1 or 0 for each place. */
export type Filled = Uint8Array;

/** Turns as plain rows of numbers: thousands of them are gone through hundreds of times. */
export interface Laid {
  /** Leaders of the turns, each once, and whose turn it is. */
  leaders: readonly ForecastLeader[];
  whose: Int32Array;
  /** Walks of each turn, and a number that names its month. */
  walks: Int32Array;
  months: Int32Array;
  /** Where the choices of each turn begin; one more, where the last end. */
  from: Int32Array;
  gaps: Int32Array;
  days: Int32Array;
  gapCount: number;
  dayCount: number;
}

/** Lays turns out. Pure. @param gapCount how many gaps there are */
export function layOut(turns: readonly Turn[], gapCount: number): Laid {
  const leaders = [...new Set(turns.map(({ leader }) => leader))];
  const places = new Map(leaders.map((leader, place) => [leader, place]));
  const choices = turns.flatMap((turn) => turn.choices);
  const from = new Int32Array(turns.length + 1);
  for (const [index, turn] of turns.entries()) from[index + 1] = (from[index] ?? 0) + turn.choices.length;
  return {
    leaders,
    whose: Int32Array.from(turns, ({ leader }) => places.get(leader) ?? 0),
    walks: Int32Array.from(turns, ({ walks }) => walks),
    months: Int32Array.from(turns, ({ month }) => Number(month.replace('-', ''))),
    from,
    gaps: Int32Array.from(choices, ({ gap }) => gap),
    days: Int32Array.from(choices, ({ day }) => day),
    gapCount,
    dayCount: choices.reduce((most, { day }) => Math.max(most, day + 1), 0),
  };
}

/** What is filled if so many walks of each turn are led: the first choices that nobody has taken, no two on one day. Pure. */
export function fill({ walks, from, gaps, days, gapCount, dayCount }: Laid, led: (turn: number) => number): Filled {
  const taken = new Uint8Array(gapCount);
  const busy = new Int32Array(dayCount);
  for (let turn = 0; turn < walks.length; turn += 1) {
    let left = led(turn);
    const end = from[turn + 1] as number;
    for (let choice = from[turn] as number; left > 0 && choice < end; choice += 1) {
      const [gap, day] = [gaps[choice] as number, days[choice] as number];
      // A day is marked with the turn that took it, counted from 1.
      if (taken[gap] === 1 || busy[day] === turn + 1) continue;
      taken[gap] = 1;
      busy[day] = turn + 1;
      left -= 1;
    }
  }
  return taken;
}

/**
 * How many walks of each turn are led in one case: each with its leader's share. Every walk has a chance of its own, so that one promised more changes none
 * of the others. Pure, and the same for the same case. @param group everybody's history
 */
export function ledIn(run: number, { leaders, whose, walks, months }: Laid, group: History): (turn: number) => number {
  const seed = mixed(SEED, run);
  const share = betaDraw(1 + group.kept, 1 + group.promised - group.kept, chances(seed));
  const seeds = leaders.map(({ id }) => mixed(seed, id + 1));
  const shares = Float64Array.from(leaders, ({ promised, kept }, place) =>
    betaDraw(GROUP_WALKS * share + kept, GROUP_WALKS * (1 - share) + promised - kept, chances(seeds[place] as number)),
  );
  return (turn) => {
    const place = whose[turn] as number;
    const [own, name, first] = [shares[place] as number, seeds[place] as number, MOST_WALKS * (months[turn] as number)];
    let led = 0;
    for (let walk = (walks[turn] as number) - 1; walk >= 0; walk -= 1) if (named(name, first + walk) < own) led += 1;
    return led;
  };
}
