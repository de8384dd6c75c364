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
  /** Where the days of each choice begin; one more, where the last end. */
  daysFrom: Int32Array;
  days: Int32Array;
  gapCount: number;
  dayCount: number;
}

/** Lays turns out. Pure. @param gapCount how many gaps there are */
export function layOut(turns: readonly Turn[], gapCount: number): Laid {
  const leaders = [...new Set(turns.map(({ leader }) => leader))];
  const places = new Map(leaders.map((leader, place) => [leader, place]));
  const choices = turns.flatMap((turn) => turn.choices);
  const days = Int32Array.from(choices.flatMap((choice) => choice.days));
  return {
    leaders,
    whose: Int32Array.from(turns, ({ leader }) => places.get(leader) ?? 0),
    walks: Int32Array.from(turns, ({ walks }) => walks),
    months: Int32Array.from(turns, ({ month }) => Number(month.replace('-', ''))),
    from: ends(turns.map((turn) => turn.choices.length)),
    gaps: Int32Array.from(choices, ({ gap }) => gap),
    daysFrom: ends(choices.map((choice) => choice.days.length)),
    days,
    gapCount,
    dayCount: days.reduce((most, day) => Math.max(most, day + 1), 0),
  };
}

/** Where each of some runs begins that follow one another, and where the last ends. */
function ends(lengths: number[]): Int32Array {
  const from = new Int32Array(lengths.length + 1);
  for (const [index, length] of lengths.entries()) from[index + 1] = (from[index] ?? 0) + length;
  return from;
}

/** What is filled if so many walks of each turn are led: the first choices that nobody has taken, each on a day of its own. Pure. */
export function fill(laid: Laid, led: (turn: number) => number): Filled {
  const { walks, from, gaps, gapCount } = laid;
  const taken = new Uint8Array(gapCount);
  const diary = diaryOf(laid);
  for (let turn = 0; turn < walks.length; turn += 1) {
    let left = led(turn);
    const end = from[turn + 1] as number;
    for (let choice = from[turn] as number; left > 0 && choice < end; choice += 1) {
      const gap = gaps[choice] as number;
      if (taken[gap] === 1 || !diary(choice, turn)) continue;
      taken[gap] = 1;
      left -= 1;
    }
  }
  return taken;
}

/**
 * Keeps one leader's days, turn by turn: gives a choice a day of its own, moving others to another of theirs where that makes room (an augmenting path, Kuhn
 * 1955); false where there is no room.
 */
function diaryOf({ daysFrom, days, dayCount }: Laid): (choice: number, turn: number) => boolean {
  const holder = new Int32Array(dayCount);
  /** The turn that holds a day, counted from 1. */
  const held = new Int32Array(dayCount);
  const seat = (choice: number, turn: number, tried: Set<number> | null): boolean => {
    const [begin, end] = [daysFrom[choice] as number, daysFrom[choice + 1] as number];
    for (let at = begin; at < end; at += 1) {
      const day = days[at] as number;
      if (held[day] === turn) continue;
      held[day] = turn;
      holder[day] = choice;
      return true;
    }
    const seen = tried ?? new Set();
    for (let at = begin; at < end; at += 1) {
      const day = days[at] as number;
      if (seen.has(day)) continue;
      seen.add(day);
      if (!seat(holder[day] as number, turn, seen)) continue;
      holder[day] = choice;
      return true;
    }
    return false;
  };
  return (choice, turn) => seat(choice, turn + 1, null);
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
