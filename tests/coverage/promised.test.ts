import { describe, expect, it } from 'vitest';
import { leaderMonth, type Record } from '../../server/commitment/rules.js';
import { forecastGap, historyOf, leftOf } from '../../server/coverage/promised.js';
import { needsIn } from './area.js';

const NOW = '2027-03';

/** A leader since January 2027 who promised two walks a month, as their months stand. */
function months(walks: { [month: string]: [kept: number, coming: number] }, record: Partial<Record> = {}) {
  const own: Record = {
    terms: [{ fromMonth: '2027-01', untilMonth: null }],
    pledges: [{ fromMonth: '2027-01', walks: 2 }],
    excused: new Set(),
    ...record,
  };
  return ['2026-12', '2027-01', '2027-02', '2027-03', '2027-04'].map((month) => {
    const [kept, coming] = walks[month] ?? [0, 0];
    return leaderMonth(month, own, { kept, coming });
  });
}

describe('what was promised and kept', () => {
  it('is of months that are over, from the first on in which something was promised', () => {
    expect(historyOf(months({ '2026-12': [5, 0], '2027-01': [1, 0], '2027-02': [2, 0], '2027-03': [1, 0] }), NOW)).toEqual({
      promised: 4,
      kept: 3,
    });
  });

  it('counts nothing twice: one month led beyond its promise makes up for no other', () => {
    expect(historyOf(months({ '2027-01': [4, 0] }), NOW)).toEqual({ promised: 4, kept: 2 });
  });

  it('leaves excused months out, and those after somebody stood down', () => {
    expect(historyOf(months({ '2027-01': [1, 0] }, { excused: new Set(['2027-02']) }), NOW)).toEqual({ promised: 2, kept: 1 });
    expect(historyOf(months({ '2027-01': [1, 0] }, { terms: [{ fromMonth: '2027-01', untilMonth: '2027-02' }] }), NOW)).toEqual({
      promised: 2,
      kept: 1,
    });
  });
});

describe('what is left of a promise', () => {
  it('is what is neither led nor posted, of this month and later ones', () => {
    expect(leftOf(months({ '2027-02': [0, 0], '2027-03': [1, 0], '2027-04': [0, 0] }), NOW)).toEqual({ '2027-03': 1, '2027-04': 2 });
    expect(leftOf(months({ '2027-03': [1, 1], '2027-04': [0, 3] }), NOW)).toEqual({});
  });

  it('is nothing in an excused month, or after standing down', () => {
    expect(leftOf(months({}, { excused: new Set(['2027-03']) }), NOW)).toEqual({ '2027-04': 2 });
    expect(leftOf(months({}, { terms: [{ fromMonth: '2027-01', untilMonth: '2027-04' }] }), NOW)).toEqual({ '2027-03': 2 });
  });
});

it('offers the days of a gap that come after today, its month, and the length that the plan has', () => {
  const weekday = needsIn('2027-04', 1).find(({ id }) => id === '3 2027-04-05 1 0');
  if (!weekday) throw new Error('no such need');
  expect(forecastGap({ need: weekday, today: '2027-04-07' })).toEqual({
    areaId: 3,
    month: '2027-04',
    dates: ['2027-04-08', '2027-04-09'],
    metres: weekday.bestMetres,
  });
  const [floor] = needsIn('2026-12', 1);
  if (!floor) throw new Error('no floor');
  expect(forecastGap({ need: floor, today: '2026-12-29' })).toMatchObject({ dates: ['2026-12-30', '2026-12-31'], metres: null });
});
