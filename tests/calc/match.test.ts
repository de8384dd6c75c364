import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { matchNeeds, type Need, type PostedWalk } from '../../server/calc/match.js';
import { cases, needs, shape, walks } from './matching.js';

function need(id: number, bestMetres: number, more: Partial<Need> = {}): Need {
  return { id, week: 1, dayKind: 'saturday', leastMetres: bestMetres - 2000, bestMetres, mostMetres: bestMetres + 2000, ...more };
}

function walk(id: number, metres: number, more: Partial<PostedWalk> = {}): PostedWalk {
  return { id, week: 1, dayKind: 'saturday', metres, ...more };
}

/** The least unmet, and then the least metres off, by trying everything. */
function byTrying(all: Need[], posted: PostedWalk[]): { unmet: number; off: number } {
  const [first, ...others] = all;
  if (!first) return { unmet: 0, off: 0 };
  const without = byTrying(others, posted);
  const ways = [{ unmet: without.unmet + 1, off: without.off }];
  for (const one of posted) {
    const fits = one.week === first.week && one.dayKind === first.dayKind;
    if (!fits || one.metres < first.leastMetres || one.metres > first.mostMetres) continue;
    const rest = byTrying(
      others,
      posted.filter((other) => other !== one),
    );
    ways.push({ unmet: rest.unmet, off: rest.off + Math.round(Math.abs(one.metres - first.bestMetres)) });
  }
  return ways.reduce((best, way) => (way.unmet < best.unmet || (way.unmet === best.unmet && way.off < best.off) ? way : best));
}

describe('matching walks to needs', () => {
  it('leaves as few unmet as trying everything does, with lengths as near', () => {
    fc.assert(
      fc.property(cases(4, 5), ([asked, posted]) => {
        const matching = matchNeeds(asked, posted);
        expect(shape(matching)).toEqual(byTrying(asked, posted));
        expect(matching.met.length + matching.unmet.length).toBe(asked.length);
        expect(matching.met.length + matching.spare.length).toBe(posted.length);
      }),
      { numRuns: 1000 },
    );
  });

  it('does not depend on the order they come in', () => {
    const shuffled = cases(6, 8).chain((both) =>
      fc.tuple(
        fc.constant(both),
        fc.shuffledSubarray(both[0], { minLength: both[0].length }),
        fc.shuffledSubarray(both[1], { minLength: both[1].length }),
      ),
    );
    fc.assert(
      fc.property(shuffled, ([[asked, posted], asked2, posted2]) => {
        expect(matchNeeds(asked2, posted2)).toEqual(matchNeeds(asked, posted));
      }),
    );
  });

  it('never leaves more unmet by another walk, nor fewer by another need', () => {
    fc.assert(
      fc.property(needs(6), walks(7), (asked, posted) => {
        const [one, ...others] = posted;
        const [first, ...rest] = asked;
        const unmet = matchNeeds(asked, posted).unmet.length;
        if (one) expect(unmet).toBeLessThanOrEqual(matchNeeds(asked, others).unmet.length);
        if (first) expect(unmet).toBeGreaterThanOrEqual(matchNeeds(rest, posted).unmet.length);
      }),
    );
  });

  it('meets both needs though the first would like the walk that the second needs', () => {
    const { met, unmet } = matchNeeds([need(1, 10_000), need(2, 12_500)], [walk(7, 9000), walk(8, 10_500)]);
    expect(met.map((pair) => [pair.need.id, pair.walk.id])).toEqual([
      [1, 7],
      [2, 8],
    ]);
    expect(unmet).toEqual([]);
  });

  it('takes the walk nearest to the best length, and of two as near the one with the first id', () => {
    const near = matchNeeds([need(1, 10_000)], [walk(1, 8500), walk(2, 11_000), walk(3, 9000)]);
    expect([near.met[0]?.walk.id, near.spare.map(({ id }) => id)]).toEqual([2, [1, 3]]);
  });

  it('counts a walk of just the least and just the most, and none of a metre beyond', () => {
    const met = (metres: number) => matchNeeds([need(1, 10_000)], [walk(1, metres)]).met.length;
    expect([8000, 12_000, 7999, 12_001].map(met)).toEqual([1, 1, 0, 0]);
  });

  it('keeps weeks and kinds of day apart', () => {
    const posted = [walk(1, 10_000, { week: 2 }), walk(2, 10_000, { dayKind: 'sunday' })];
    const { met, unmet, spare } = matchNeeds([need(1, 10_000)], posted);
    expect([met, unmet.length, spare]).toEqual([[], 1, posted]);
  });

  it('has nothing to do without needs or walks', () => {
    expect(matchNeeds([], [])).toEqual({ met: [], unmet: [], spare: [] });
    expect(matchNeeds([need(2, 9000), need(1, 9000)], []).unmet.map(({ id }) => id)).toEqual([1, 2]);
  });
});
