import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cheapest } from '../../server/calc/cheapest.js';

const NEVER = Number.POSITIVE_INFINITY;

/** Every way, the columns in rising order: the first of the cheapest is the one asked for. */
function byTrying(costs: number[][]): number[] | null {
  let best: { sum: number; columns: number[] } | null = null;
  const visit = (columns: number[], sum: number): void => {
    const row = costs[columns.length];
    if (!row) {
      if (!best || sum < best.sum) best = { sum, columns };
      return;
    }
    for (const [column, cost] of row.entries()) {
      if (cost !== NEVER && !columns.includes(column)) visit([...columns, column], sum + cost);
    }
  };
  visit([], 0);
  return (best as { columns: number[] } | null)?.columns ?? null;
}

const costs = fc
  .record({ rows: fc.integer({ min: 0, max: 5 }), more: fc.integer({ min: 0, max: 2 }), most: fc.constantFrom(0, 2, 40) })
  .chain(({ rows, more, most }) => {
    const cost = fc.oneof({ weight: 3, arbitrary: fc.integer({ min: 0, max: most }) }, { weight: 1, arbitrary: fc.constant(NEVER) });
    return fc.array(fc.array(cost, { minLength: rows + more, maxLength: rows + more }), { minLength: rows, maxLength: rows });
  });

describe('the cheapest columns', () => {
  it('are those that trying them all finds, the first of equals', () => {
    fc.assert(
      fc.property(costs, (table) => {
        expect(cheapest(table)).toEqual(byTrying(table));
      }),
      { numRuns: 2000 },
    );
  });

  it('give way to one another: a row takes its second best where that saves more elsewhere', () => {
    expect(
      cheapest([
        [1, 2],
        [1, 9],
      ]),
    ).toEqual([1, 0]);
  });

  it('are none where two rows want one column only, or where there is no column', () => {
    expect(
      cheapest([
        [1, NEVER],
        [1, NEVER],
      ]),
    ).toBeNull();
    expect(cheapest([[]])).toBeNull();
    expect(cheapest([])).toEqual([]);
  });

  it('take a moment for three hundred rows, all alike or all different', () => {
    const size = Array.from({ length: 300 }, (_, index) => index);
    expect(cheapest(size.map(() => size.map(() => 0)))).toEqual(size);
    const square = cheapest(size.map((row) => size.map((column) => (row * column * 7919) % 1000)));
    expect(new Set(square).size).toBe(300);
  });
});
