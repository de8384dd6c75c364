const STEP = 0x6d2b79f5;

/** Chance that comes out the same for the same seed: the demo region is one region, not a new one at each start. */
export interface Chance {
  /** 0 up to, but not, 1. */
  next: () => number;
  /** A whole number from `low` to `high`, both included. */
  whole: (low: number, high: number) => number;
  pick: <T>(list: readonly T[]) => T;
  /** Whether something of this likelihood (0 to 1) happens now. */
  happens: (likelihood: number) => boolean;
}

/** Mulberry32, a generator of 32 bits of state in the public domain: good enough to scatter walks. */
export function chance(seed: number): Chance {
  let state = seed;
  const next = () => {
    state = (state + STEP) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  return {
    next,
    whole: (low, high) => low + Math.floor(next() * (high - low + 1)),
    pick: (list) => at(list, Math.floor(next() * list.length)),
    happens: (likelihood) => next() < likelihood,
  };
}

/** The entry at `index`, counted round and round. */
export function at<T>(list: readonly T[], index: number): T {
  const entry = list[index % list.length];
  if (entry === undefined) throw new Error('an empty list has no entries');
  return entry;
}
