import fc from 'fast-check';
import type { Matching, Need, PostedWalk } from '../../server/calc/match.js';

const day = { week: fc.integer({ min: 1, max: 2 }), dayKind: fc.constantFrom('weekday', 'saturday') };
/** Few lengths, so that many are as near as each other. */
const kilometres = fc.integer({ min: 5, max: 14 }).map((km) => km * 1000);

export const needs = (most: number) =>
  fc.array(fc.record({ ...day, bestMetres: kilometres, under: kilometres, over: kilometres }), { maxLength: most }).map((drawn) =>
    drawn.map(
      ({ week, dayKind, bestMetres, under, over }, index): Need => ({
        id: `${index}`,
        week,
        dayKind,
        leastMetres: bestMetres - under / 4,
        bestMetres,
        mostMetres: bestMetres + over / 4,
      }),
    ),
  );

export const walks = (most: number) =>
  fc
    .array(fc.record({ ...day, metres: kilometres }), { maxLength: most })
    .map((drawn) => drawn.map((one, id): PostedWalk => ({ id, ...one })));

export const cases = (mostNeeds: number, mostWalks: number) => fc.tuple(needs(mostNeeds), walks(mostWalks));

/** What two matchings of one case are compared by. */
export function shape({ met, unmet }: Matching<Need, PostedWalk>): { unmet: number; off: number } {
  return { unmet: unmet.length, off: met.reduce((sum, { need, walk }) => sum + Math.abs(walk.metres - need.bestMetres), 0) };
}
