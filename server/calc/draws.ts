/** Gives a number from 0 up to 1, another each time. */
export type Chance = () => number;

const TWO_32 = 2 ** 32;

/** One number out of two whole ones, 0 to 2³² − 1, in which each of their bits counts (mixed as MurmurHash3 does at its end, Appleby 2008). Pure. */
export function mixed(one: number, other: number): number {
  let hash = Math.imul(one ^ Math.imul(other, 0x9e3779b9), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  return (hash ^ (hash >>> 13)) >>> 0;
}

/** A number from 0 up to 1 that two whole numbers name: always the same for the same. Pure. */
export function named(one: number, other: number): number {
  return mixed(one, other) / TWO_32;
}

/** A run of chances from a seed: always the same for the same one. */
export function chances(seed: number): Chance {
  let count = 0;
  return () => {
    count += 1;
    return mixed(seed, count) / TWO_32;
  };
}

/** A draw from Beta(a, b), which are above 0: a share, 0 to 1. Two gamma draws (Devroye 1986, chapter IX.3). */
export function betaDraw(a: number, b: number, chance: Chance): number {
  const one = gammaDraw(a, chance);
  return one / (one + gammaDraw(b, chance));
}

/** A draw from Gamma(shape, 1): Marsaglia and Tsang 2000; below 1 by a power of another chance, as they say. */
function gammaDraw(shape: number, chance: Chance): number {
  // 1 − chance is never 0, of which there is no logarithm.
  if (shape < 1) return Math.max(gammaDraw(shape + 1, chance) * (1 - chance()) ** (1 / shape), Number.MIN_VALUE);
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normalDraw(chance);
    const v = (1 + c * x) ** 3;
    if (v > 0 && Math.log(1 - chance()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
  }
}

/** Box and Muller 1958. */
function normalDraw(chance: Chance): number {
  return Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
}
