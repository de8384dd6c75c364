import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { arrivals, type Halt, stretches, type Way } from '../../server/calc/stops.js';

const MINUTE_MS = 60_000;
const SET_OFF = Date.UTC(2026, 10, 28, 14);
const PACES = { fastPace: 15, slowPace: 24 };

const FLAT: Way = { setOffAt: SET_OFF, distanceMetres: 8 * METRES_PER_MILE, ascentMetres: 0, effortMetres: null };

function halt(mile: number, more: Partial<Halt> = {}): Halt {
  return { metres: mile * METRES_PER_MILE, effortMetres: null, minutes: 0, regroup: false, ...more };
}

/** Minutes after set-off. */
function minutes(way: Way, halts: Halt[]): [fastest: number, slowest: number][] {
  const { stops, finish } = arrivals(way, halts, PACES);
  return [...stops, finish].map(({ fastest, slowest }) => [(fastest - SET_OFF) / MINUTE_MS, (slowest - SET_OFF) / MINUTE_MS]);
}

describe('arrivals', () => {
  it('on the flat are the miles at each pace', () => {
    expect(minutes(FLAT, [halt(2), halt(5)])).toEqual([
      [30, 48],
      [75, 120],
      [120, 192],
    ]);
  });

  it('add the minutes of each halt before, for both', () => {
    expect(minutes(FLAT, [halt(2, { minutes: 10 }), halt(5, { minutes: 20 })])).toEqual([
      [30, 48],
      [85, 130],
      [150, 222],
    ]);
  });

  it('after a regroup have the fastest leave with the slowest', () => {
    expect(minutes(FLAT, [halt(2, { minutes: 10, regroup: true }), halt(5, { minutes: 5 })])).toEqual([
      [30, 48],
      [103, 130],
      [153, 207],
    ]);
    expect(minutes(FLAT, [halt(2, { regroup: true }), halt(4, { regroup: true })])).toEqual([
      [30, 48],
      [78, 96],
      [156, 192],
    ]);
  });

  it('spread the climb evenly where the heights are not known: an hour for 600 m', () => {
    expect(minutes({ ...FLAT, ascentMetres: 240 }, [halt(2)])).toEqual([
      [36, 54],
      [144, 216],
    ]);
  });

  it('are by effort where it is known, and the climb is in it', () => {
    const way = { ...FLAT, ascentMetres: 240, effortMetres: 10 * METRES_PER_MILE };
    expect(minutes(way, [halt(2, { effortMetres: 3 * METRES_PER_MILE })])).toEqual([
      [45, 72],
      [150, 240],
    ]);
  });

  it('are all by distance where the effort of one is not known', () => {
    const way = { ...FLAT, effortMetres: 10 * METRES_PER_MILE };
    expect(minutes(way, [halt(2, { effortMetres: 3 * METRES_PER_MILE }), halt(5)])).toEqual(minutes(FLAT, [halt(2), halt(5)]));
  });

  it('are whole minutes, rounded up, but not for a hair', () => {
    expect(minutes({ ...FLAT, distanceMetres: METRES_PER_MILE + 1 }, [])).toEqual([[16, 25]]);
    for (let miles = 1; miles < 60; miles++)
      expect(minutes({ ...FLAT, distanceMetres: miles * 0.1 * METRES_PER_MILE * 10 }, [])).toEqual([[miles * 15, miles * 24]]);
  });

  it('at two stops in one place are the same, and a halt at the finish comes after it', () => {
    expect(minutes(FLAT, [halt(2, { minutes: 10 }), halt(2, { minutes: 5 }), halt(8, { minutes: 30 })])).toEqual([
      [30, 48],
      [30, 48],
      [135, 207],
      [135, 207],
    ]);
  });

  it('of a walk without a length are its set-off', () => {
    expect(minutes({ ...FLAT, distanceMetres: 0, ascentMetres: 100 }, [])).toEqual([[0, 0]]);
  });

  const anyHalts = fc
    .array(
      fc.record({
        part: fc.double({ min: 0, max: 1, noNaN: true }),
        effort: fc.double({ min: 0, max: 2, noNaN: true }),
        minutes: fc.integer({ min: 0, max: 60 }),
        regroup: fc.boolean(),
      }),
      { maxLength: 12 },
    )
    .map((halts) => {
      const efforts = halts.map(({ effort }) => effort).sort((a, b) => a - b);
      return halts.sort((a, b) => a.part - b.part).map((each, index) => ({ ...each, effort: efforts[index] ?? 0 }));
    });

  it('never go back along the way, and the slowest never come before the fastest', () => {
    fc.assert(
      fc.property(
        anyHalts,
        fc.integer({ min: 0, max: 60_000 }),
        fc.integer({ min: 0, max: 2000 }),
        fc.boolean(),
        fc.tuple(fc.integer({ min: 10, max: 40 }), fc.integer({ min: 0, max: 30 })),
        (halts, distanceMetres, ascentMetres, byEffort, [fastPace, slower]) => {
          const way = { setOffAt: SET_OFF, distanceMetres, ascentMetres, effortMetres: byEffort ? distanceMetres * 2 : null };
          const laid = halts.map(({ part, effort, ...more }) => ({
            ...more,
            metres: part * distanceMetres,
            effortMetres: byEffort ? effort * distanceMetres : null,
          }));
          const { stops, finish } = arrivals(way, laid, { fastPace, slowPace: fastPace + slower });
          let last = { fastest: SET_OFF, slowest: SET_OFF };
          for (const window of [...stops, finish]) {
            expect(window.fastest).toBeGreaterThanOrEqual(last.fastest);
            expect(window.slowest).toBeGreaterThanOrEqual(last.slowest);
            expect(window.slowest).toBeGreaterThanOrEqual(window.fastest);
            expect((window.slowest - SET_OFF) % MINUTE_MS).toBe(0);
            last = window;
          }
        },
      ),
    );
  });
});

describe('stretches', () => {
  it.each([
    ['without a stop, the whole walk', [], [{ from: 0, to: 9000 }]],
    ['before the first', [8500], [{ from: 0, to: 8500 }]],
    ['between two', [400, 8600], [{ from: 400, to: 8600 }]],
    ['after the last', [400], [{ from: 400, to: 9000 }]],
    ['exactly the most: none', [1000], []],
    ['a metre more', [999], [{ from: 999, to: 9000 }]],
    ['in any order', [8600, 400], [{ from: 400, to: 8600 }]],
    ['stops beyond the finish don’t count', [9500], [{ from: 0, to: 9000 }]],
    ['enough stops: none', [3000, 6000], []],
  ])('%s', (_, at, found) => {
    expect(stretches(at, 9000, 8000)).toEqual(found);
  });

  it('may be several', () => {
    expect(stretches([9000, 20_000], 30_000, 8000)).toHaveLength(3);
  });
});
