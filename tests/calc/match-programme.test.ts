import fc from 'fast-check';
import type { Highs } from 'highs';
import { describe, expect, it } from 'vitest';
import { matchNeeds, type Need, type PostedWalk } from '../../server/calc/match.js';
import { loadHighs } from '../../server/coverage/highs.js';
import { cases, shape } from './matching.js';

const MISSED = 1_000_000;

/** The same by an integer programme, written as text. */
function byProgramme(highs: Highs, needs: Need[], walks: PostedWalk[]): { unmet: number; off: number } {
  const pairs = needs.flatMap((need, n) =>
    walks.flatMap((walk, w) => {
      const fits =
        walk.week === need.week && walk.dayKind === need.dayKind && walk.metres >= need.leastMetres && walk.metres <= need.mostMetres;
      return fits ? [{ name: `x${n}_${w}`, n, w, off: Math.abs(walk.metres - need.bestMetres) }] : [];
    }),
  );
  if (pairs.length === 0) return { unmet: needs.length, off: 0 };
  const row = (name: string, of: typeof pairs) => (of.length === 0 ? '' : ` ${name}: ${of.map((pair) => pair.name).join(' + ')} <= 1\n`);
  const text = `minimize
 cost: ${pairs.map(({ name, off }) => `- ${MISSED - off} ${name}`).join(' ')}
subject to
${needs
  .map((_, n) =>
    row(
      `n${n}`,
      pairs.filter((pair) => pair.n === n),
    ),
  )
  .join('')}${walks
  .map((_, w) =>
    row(
      `w${w}`,
      pairs.filter((pair) => pair.w === w),
    ),
  )
  .join('')}binary
 ${pairs.map(({ name }) => name).join(' ')}
end`;
  const { Columns, Status } = highs.solve(text, { output_flag: false, mip_rel_gap: 0 });
  if (Status !== 'Optimal') throw new Error(Status);
  const chosen = pairs.filter(({ name }) => (Columns[name]?.Primal ?? 0) > 0.5);
  return { unmet: needs.length - chosen.length, off: chosen.reduce((sum, { off }) => sum + off, 0) };
}

describe('matching walks to needs', () => {
  it('is as good as an integer programme finds, a thousand times', async () => {
    const highs = await loadHighs();
    fc.assert(
      fc.property(cases(8, 10), ([needs, walks]) => {
        expect(shape(matchNeeds(needs, walks))).toEqual(byProgramme(highs, needs, walks));
      }),
      { numRuns: 1000 },
    );
  }, 60_000);
});
