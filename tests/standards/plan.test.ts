import { describe, expect, it } from 'vitest';
import { seasonPlan } from '../../server/calc/plan.js';
import { longestAllowed } from '../../server/calc/plan-slots.js';
import { miles, row, wish } from '../calc/plans.js';

/** Miles of a Saturday and the longest of the 30 days before it, worked by hand from the table: the start and the Saturdays up to four weeks back. */
type Step = [week: number, saturday: number, longestBefore: number];

const SIXTEEN = `
1 build: 3 + 3, 9.5, - = 15.5
2 build: 3.5 + 3.5, 10, - = 17
3 build: 3.5 + 3.5, 10.5, - = 17.5
4 lighter: 2.5 + 2.5, 8, - = 13
5 build: 4 + 4, 11.5, - = 19.5
6 build: 4 + 4, 12.5, - = 20.5
7 build: 4.5 + 4.5, 13.5, 5.5 = 28
8 lighter: 3.5 + 3.5, 10, 4 = 21
9 build: 5 + 5, 14.5, 7 = 31.5
10 build: 5 + 5, 15.5, 8.5 = 34
11 build: 5.5 + 5.5, 17, 10 = 38
12 lighter: 4 + 4, 13, 7.5 = 28.5
13 peak: 6 + 6, 18.5, 12.5 = 43
14 taper: 3 + 3, 9, 6 = 21
15 taper: 2.5 + 2.5, 7.5, 5 = 17.5
16 event: 2.5 + 2.5, -, - = 5`;

const TWENTY_FOUR = `
1 build: 2 + 2, 6.5, - = 10.5
2 build: 2.5 + 2.5, 7, - = 12
3 build: 2.5 + 2.5, 7.5, - = 12.5
4 lighter: 2 + 2, 5.5, - = 9.5
5 build: 2.5 + 2.5, 8, - = 13
6 build: 3 + 3, 8.5, - = 14.5
7 build: 3 + 3, 9, - = 15
8 lighter: 2.5 + 2.5, 6.5, - = 11.5
9 build: 3 + 3, 9.5, - = 15.5
10 build: 3.5 + 3.5, 10, - = 17
11 build: 3.5 + 3.5, 10.5, 4 = 21.5
12 lighter: 2.5 + 2.5, 8, 3 = 16
13 build: 4 + 4, 11.5, 5 = 24.5
14 build: 4 + 4, 12.5, 6 = 26.5
15 build: 4.5 + 4.5, 13.5, 7 = 29.5
16 lighter: 3.5 + 3.5, 9.5, 5.5 = 22
17 build: 5 + 5, 14.5, 8 = 32.5
18 build: 5 + 5, 15.5, 9 = 34.5
19 build: 5.5 + 5.5, 17, 10.5 = 38.5
20 lighter: 4 + 4, 13, 8 = 29
21 peak: 6 + 6, 18.5, 12.5 = 43
22 taper: 3 + 3, 9.5, 6 = 21.5
23 taper: 2.5 + 2.5, 7.5, 5 = 17.5
24 event: 2.5 + 2.5, -, - = 5`;

const sixteen = seasonPlan(wish({ weeks: 16 }));
const twentyFour = seasonPlan(wish({ weeks: 24 }));

// Two days of 22 miles from Saturday 12 June 2027, two weekday walks; miles. The tables are our own, worked from the guidance below.
describe('worked tables (computed)', () => {
  it('sixteen weeks: from 22 February, 9 miles at the start', () => {
    expect(sixteen.weeks.map(row)).toEqual(SIXTEEN.trim().split('\n'));
    expect([sixteen.from, sixteen.startMetres]).toEqual(['2027-02-22', miles(9)]);
    expect(sixteen.metres).toBeCloseTo(miles(370.5), 6);
  });

  it('twenty-four weeks: from 28 December, 6 miles at the start', () => {
    expect(twentyFour.weeks.map(row)).toEqual(TWENTY_FOUR.trim().split('\n'));
    expect([twentyFour.from, twentyFour.startMetres]).toEqual(['2026-12-28', miles(6)]);
    expect(twentyFour.metres).toBeCloseTo(miles(492.5), 6);
  });
});

// Source: Frandsen et al., Br J Sports Med 2025;59:1203 (read): of 5205 runners, more were injured once a session was over 10 % longer than the longest
// of the last 30 days; week-to-week totals showed no relation. About runners; no study of walkers was found.
describe('no session more than 10 % longer than the longest of the last 30 days', () => {
  it('is 110 %', () => {
    expect(longestAllowed(miles(10))).toBeCloseTo(miles(11), 6);
  });

  it.each<Step>([
    [1, 9.5, 9],
    [2, 10, 9.5],
    [3, 10.5, 10],
    [5, 11.5, 10.5],
    [6, 12.5, 11.5],
    [7, 13.5, 12.5],
    [9, 14.5, 13.5],
    [10, 15.5, 14.5],
    [11, 17, 15.5],
    [13, 18.5, 17],
  ])('sixteen weeks, week %i: %d miles after %d', (week, saturday, before) => {
    expect(sixteen.weeks[week - 1]?.walks.find(({ slot }) => slot === 'saturday')?.metres).toBe(miles(saturday));
    expect(saturday).toBeLessThanOrEqual(before * 1.1);
  });
});

// Source: Bosquet et al. 2007 (read): two weeks, 41 to 60 % less, as many sessions. Wang et al. 2023 (read): up to 21 days.
describe('a taper of two weeks, 41 to 60 % less, with as many walks', () => {
  it.each([
    // The full weeks before have 34, 38 and 43 miles, 38.33 on average; the taper's 21 and 17.5, 19.25 on average.
    ['sixteen weeks', sixteen, 19.25 / 38.333, 0.498],
    // 34.5, 38.5 and 43: 38.67; 21.5 and 17.5: 19.5.
    ['twenty-four weeks', twentyFour, 19.5 / 38.667, 0.496],
  ])('%s', (_, { weeks }, share, less) => {
    expect(1 - share).toBeCloseTo(less, 3);
    expect(less > 0.41 && less < 0.6).toBe(true);
    const [peak, ...taper] = weeks.slice(-4, -1);
    expect(taper.map(({ walks }) => walks.length)).toEqual([peak?.walks.length, peak?.walks.length]);
  });
});

// Common practice, no source: every fourth week less by 20 to 30 %; the longest walk 80 to 90 % of a day of the event, about three weeks before it;
// a Sunday after the long Saturday from the middle of the season on; the day before the event free.
describe('common practice, no source', () => {
  it.each([
    [4, 13 / 17.5],
    [8, 21 / 28],
    [12, 28.5 / 38],
  ])('week %i of sixteen has %d of the week before', (week, share) => {
    expect((sixteen.weeks[week - 1]?.metres ?? 0) / (sixteen.weeks[week - 2]?.metres ?? 0)).toBeCloseTo(share, 9);
    expect(share >= 0.7 && share <= 0.8).toBe(true);
  });

  it('the longest walk, 18.5 of 22 miles, is 84 %, on Saturday 22 May, three weeks before', () => {
    for (const { weeks } of [sixteen, twentyFour]) {
      const saturday = weeks.find(({ kind }) => kind === 'peak')?.walks.find(({ slot }) => slot === 'saturday');
      expect(saturday).toEqual({ slot: 'saturday', date: '2027-05-22', metres: miles(18.5) });
    }
  });
});
