import { createHash } from 'node:crypto';

/** A whole number from 0 up to, but not, `below`. */
export type Chance = (below: number) => number;

const BYTES = 6;

/** Chance that nobody can foresee, out of one new secret; the same secret gives the same numbers again. */
export function chanceFrom(secret: string): Chance {
  let drawn = 0;
  return (below) => {
    drawn += 1;
    // Of 2^48 values, the few questions of a bank favour none that anybody could tell.
    return createHash('sha256').update(`${secret}:${drawn}`).digest().readUIntBE(0, BYTES) % below;
  };
}

/** A list in an order of chance, every order as likely as any other (Fisher and Yates). Leaves the list as it is. */
export function shuffled<T>(list: readonly T[], chance: Chance): T[] {
  const left = [...list];
  const out: T[] = [];
  while (left.length > 0) out.push(...left.splice(chance(left.length), 1));
  return out;
}
