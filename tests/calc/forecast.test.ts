import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ForecastGap, type ForecastLeader, forecast } from '../../server/calc/forecast.js';
import { layOut, ledIn } from '../../server/calc/forecast-cases.js';
import { gap, gapsFrom, leader } from './forecast-around.js';

const inAll = (leaders: ForecastLeader[], gaps: ForecastGap[]) =>
  forecast(leaders, gaps)
    .by(() => 'all')
    .get('all');
const NEVER = { all: 0, low: 0, high: 0 };

describe('if all keep their promise', () => {
  const all = (leaders: ForecastLeader[], gaps: ForecastGap[]) => inAll(leaders, gaps)?.all;

  it('fills as many gaps as are promised, and no more than there are', () => {
    expect(all([leader({ id: 1 })], gapsFrom('2027-03', 5))).toBe(2);
    expect(all([leader({ id: 1 }), leader({ id: 2 })], gapsFrom('2027-03', 3))).toBe(3);
    expect(all([leader({ id: 1 })], gapsFrom('2027-04', 5))).toBe(0);
  });

  it('fills no gap that the leader could not lead', () => {
    const could = (changed: Partial<ForecastLeader>, one: Partial<ForecastGap> = {}) => all([leader({ id: 1, ...changed })], [gap(one)]);
    expect(could({})).toBe(1);
    expect([could({}, { areaId: 2 }), could({ areaIds: [2] }, { areaId: 2 })]).toEqual([0, 1]);
    expect([could({ longestMetres: 15_999 }), could({ longestMetres: 16_000 })]).toEqual([0, 1]);
    expect([could({ shortestMetres: 16_001 }), could({ shortestMetres: 16_000 })]).toEqual([0, 1]);
    expect(could({ longestMetres: 1000 }, { metres: null })).toBe(1);
    expect([could({ days: [7] }), could({ days: [6] })]).toEqual([0, 1]);
    expect([could({ busyDates: new Set(['2027-03-06']) }), could({ busyDates: new Set(['2027-03-07']) })]).toEqual([0, 1]);
  });

  it('lets nobody lead twice on one day, and takes another day of the week where they can', () => {
    const week = ['2027-03-01', '2027-03-02', '2027-03-03'];
    expect(all([leader({ id: 1 })], [gap(), gap()])).toBe(1);
    expect(all([leader({ id: 1 })], [gap(), gap({ dates: week })])).toBe(2);
    expect(all([leader({ id: 1, days: [3] })], [gap({ dates: week })])).toBe(1);
    // The first of the week moves to make room for the one that has no other day.
    expect(all([leader({ id: 1 })], [gap({ dates: week }), gap({ dates: ['2027-03-01'] })])).toBe(2);
    expect(
      all(
        [leader({ id: 1, left: { '2027-03': 9 } })],
        [week, week, week, week].map((dates) => gap({ dates })),
      ),
    ).toBe(3);
  });

  it("counts a week's gap for its own month, whichever month's promise fills it", () => {
    const both = [gap({ month: '2027-04', dates: ['2027-03-31', '2027-04-01'] })];
    for (const month of ['2027-03', '2027-04'])
      expect(forecast([leader({ id: 1, left: { [month]: 1 } })], both).by((one) => one.month)).toEqual(
        new Map([['2027-04', expect.objectContaining({ all: 1 })]]),
      );
  });

  it('sends leaders to the home area first, then to the most urgent; whoever has least choice goes first', () => {
    const [home, away, far] = [gap({ areaId: 2, dates: ['2027-03-20'] }), gap(), gap({ dates: ['2027-03-27'] })];
    const one = leader({ id: 1, homeAreaId: 2, areaIds: [1], left: { '2027-03': 1 } });
    const filled = (leaders: ForecastLeader[]) =>
      [...forecast(leaders, [away, far, home]).by(({ dates }) => dates[0] ?? '')].filter(([, { all }]) => all > 0).map(([date]) => date);
    expect(filled([one])).toEqual(['2027-03-20']);
    expect(filled([leader({ ...one, left: { '2027-03': 2 } })])).toEqual(['2027-03-06', '2027-03-20']);
    // The second can only do the gap that the first would take.
    const first = leader({ ...one, homeAreaId: 1, areaIds: [] });
    const second = leader({ id: 2, left: { '2027-03': 1 }, busyDates: new Set(['2027-03-27']) });
    expect(filled([first, second])).toEqual(['2027-03-06', '2027-03-27']);
  });
});

describe('what is likely', () => {
  it('is the board as it is, if nobody has promised anything', () => {
    expect(inAll([], gapsFrom('2027-03', 4))).toEqual(NEVER);
    expect(inAll([leader({ id: 1, left: {} }), leader({ id: 2, left: { '2027-03': 0 } })], gapsFrom('2027-03', 4))).toEqual(NEVER);
    expect(forecast([leader({ id: 1 })], []).by(() => 'all')).toEqual(new Map());
  });

  it('is what all keeping comes to where they always have, nothing where they never did, and wide where nobody knows', () => {
    const group = (promised: number, kept: number) => Array.from({ length: 10 }, (_, id) => leader({ id, promised, kept }));
    const gaps = gapsFrom('2027-03', 28);
    expect(inAll(group(10_000, 10_000), gaps)).toEqual({ all: 20, low: 20, high: 20 });
    expect(inAll(group(10_000, 0), gaps)).toEqual({ all: 20, low: 0, high: 0 });
    const known = inAll(group(100, 50), gaps);
    const unknown = inAll(group(0, 0), gaps);
    expect([(known?.low ?? 0) >= 6, (known?.high ?? 0) <= 14]).toEqual([true, true]);
    expect([(unknown?.low ?? 9) <= 4, (unknown?.high ?? 0) >= 16]).toEqual([true, true]);
  });

  it('takes a leader of few months for somebody of the group, and one of many for themself', () => {
    const others = Array.from({ length: 20 }, (_, id) => leader({ id: id + 100, homeAreaId: 2, promised: 50, kept: 45 }));
    const high = (promised: number) =>
      inAll([leader({ id: 1, promised, kept: 0, left: { '2027-03': 10 } }), ...others], gapsFrom('2027-03', 10))?.high ?? 0;
    expect(high(1)).toBeGreaterThanOrEqual(9);
    expect(high(100)).toBeLessThanOrEqual(2);
  });

  it('is the same each time, and whatever order leaders come in', () => {
    const leaders = [1, 2, 3].map((id) => leader({ id, kept: id }));
    const once = inAll(leaders, gapsFrom('2027-03', 5));
    expect(inAll(leaders.toReversed(), gapsFrom('2027-03', 5))).toEqual(once);
  });

  it('in each case, a walk promised more is led or not, and changes none of the others', () => {
    const led = (run: number, walks: number) => {
      const turn = { leader: leader({ id: 1 }), month: '2027-03', walks, choices: [{ gap: 0, days: [0] }] };
      return ledIn(run, layOut([turn], 1), { promised: 10, kept: 5 })(0);
    };
    for (let run = 0; run < 50; run += 1)
      for (let walks = 1; walks < 10; walks += 1) expect([0, 1]).toContain(led(run, walks + 1) - led(run, walks));
  });

  const AREAS = fc.integer({ min: 1, max: 3 });
  const LEADER = fc.record({
    homeAreaId: AREAS,
    areaIds: fc.uniqueArray(AREAS, { maxLength: 2 }),
    days: fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { maxLength: 7 }),
    left: fc.record({ '2027-03': fc.integer({ min: 0, max: 3 }), '2027-04': fc.integer({ min: 0, max: 3 }) }),
    promised: fc.integer({ min: 12, max: 20 }),
    kept: fc.integer({ min: 0, max: 12 }),
  });
  const GAP = fc.record({ areaId: AREAS, day: fc.integer({ min: 20, max: 31 }), days: fc.integer({ min: 1, max: 5 }) });

  it('a longer promise of anybody never makes a figure of any area and month less', () => {
    fc.assert(
      fc.property(
        fc.array(LEADER, { minLength: 1, maxLength: 5 }),
        fc.array(GAP, { maxLength: 12 }),
        fc.nat(),
        fc.boolean(),
        (made, wanted, who, late) => {
          const leaders = made.map((one, id) => leader({ ...one, id }));
          const gaps = wanted.map(({ areaId, day, days }) => {
            const from = Date.UTC(2027, 2, day);
            return gap({
              areaId,
              dates: Array.from({ length: days }, (_, index) => new Date(from + index * 86_400_000).toISOString().slice(0, 10)),
            });
          });
          const month = late ? '2027-04' : '2027-03';
          const more = leaders.map((one, index) =>
            index === who % leaders.length ? { ...one, left: { ...one.left, [month]: (one.left[month] ?? 0) + 1 } } : one,
          );
          const name = (one: ForecastGap) => `${one.areaId} ${one.month}`;
          const [before, after] = [forecast(leaders, gaps).by(name), forecast(more, gaps).by(name)];
          for (const [key, one] of before) {
            const then = after.get(key) ?? NEVER;
            expect([then.all >= one.all, then.low >= one.low, then.high >= one.high]).toEqual([true, true, true]);
            expect(one.low <= one.high && one.high <= one.all).toBe(true);
          }
        },
      ),
      { numRuns: 60 },
    );
  });
});
