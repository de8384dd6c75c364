import { describe, expect, it } from 'vitest';
import { addMonths } from '../../server/calc/month.js';
import { weekdayOf } from '../../server/calc/plan-calendar.js';
import { withEdits } from '../../server/calc/plan-edits.js';
import { needsOf } from '../../server/coverage/needs-of.js';
import { daysOutside } from '../../server/coverage/outside.js';
import { AREA, miles, needsIn, PLAN } from './area.js';

const count = (from: string, area = {}, plan: typeof PLAN | null = PLAN) => needsIn(from, 1, area, plan).length;
const inWeek = (week: string, area = {}) => needsIn('2027-01', 8, area).filter((need) => need.week === week);

describe('the needs of a week', () => {
  it('are one of each kind the plan has, with its days, its length and its month', () => {
    expect(inWeek('2027-04-05').map(({ id, dayKind, month, days, day }) => ({ id, dayKind, month, days, day }))).toEqual([
      {
        id: '3 2027-04-05 1 0',
        dayKind: 'weekday',
        month: '2027-04',
        days: ['2027-04-05', '2027-04-06', '2027-04-07', '2027-04-08', '2027-04-09'],
        day: '2027-04-06',
      },
      { id: '3 2027-04-05 2 0', dayKind: 'saturday', month: '2027-04', days: ['2027-04-10'], day: '2027-04-10' },
      { id: '3 2027-04-05 3 0', dayKind: 'sunday', month: '2027-04', days: ['2027-04-11'], day: '2027-04-11' },
    ]);
    expect(inWeek('2027-04-05').map(({ bestMetres }) => Math.round(bestMetres))).toEqual([4.5, 13.5, 5.5].map(miles));
  });

  it('have no Sunday where the plan has none, whatever the area wants', () => {
    expect(inWeek('2027-02-22', { wants: { weekday: 1, saturday: 1, sunday: 3 } }).map((need) => need.dayKind)).toEqual([
      'weekday',
      'saturday',
    ]);
  });

  it('are as many as the area wants, and none of what it does not want', () => {
    const kinds = inWeek('2027-04-05', { wants: { weekday: 4, saturday: 3, sunday: 0 } }).map((need) => need.dayKind);
    expect(kinds).toEqual(['weekday', 'weekday', 'weekday', 'weekday', 'saturday', 'saturday', 'saturday']);
  });

  it('begin with the longest weekday walk of an edited week, and go round where the area wants more', () => {
    const { plan } = withEdits(PLAN, [{ week: 7, weekday: [miles(4), miles(5)], saturday: miles(13), sunday: null }]);
    const months = ['2027-04'];
    const lengths = needsOf({ ...AREA, wants: { weekday: 3, saturday: 0, sunday: 0 } }, plan, { from: '2027-04', to: '2027-04', months })
      .filter((need) => need.week === '2027-04-05')
      .map((need) => need.bestMetres);
    expect(lengths).toEqual([miles(5), miles(4), miles(5)]);
  });

  it('keep the day before the event free', () => {
    expect(inWeek('2027-06-07').map(({ days }) => days)).toEqual([['2027-06-07', '2027-06-08', '2027-06-09', '2027-06-10']]);
  });

  it('of one across two months count once: on weekdays for that of its Thursday, at the weekend for that of their day', () => {
    // Monday 29 March to Sunday 4 April: its Thursday is 1 April. Monday 26 April to Sunday 2 May: its Thursday is 29 April.
    expect(inWeek('2027-03-29').map(({ dayKind, month }) => [dayKind, month])).toEqual([
      ['weekday', '2027-04'],
      ['saturday', '2027-04'],
    ]);
    expect(inWeek('2027-04-26').map(({ dayKind, month }) => [dayKind, month])).toEqual([
      ['weekday', '2027-04'],
      ['saturday', '2027-05'],
      ['sunday', '2027-05'],
    ]);
    const whole = needsIn('2027-01', 8).map(({ id }) => id);
    const byMonth = Array.from({ length: 8 }, (_, index) => needsIn(addMonths('2027-01', index), 1)).flat();
    expect(byMonth.map(({ id }) => id).sort()).toEqual(whole.sort());
    expect(new Set(whole).size).toBe(whole.length);
  });
});

describe('an area added in the season', () => {
  it.each([
    ['2027-04-11', true],
    ['2027-04-12', false],
  ])('on %s: the week from 5 April is %s', (addedOn, has) => {
    expect(inWeek('2027-04-05', { addedOn }).length > 0).toBe(has);
    expect(inWeek('2027-04-12', { addedOn })).toHaveLength(3);
  });

  it.each([
    ['2026-11-30', 2],
    ['2026-12-01', 0],
  ])('on %s: the floor of November is %i', (addedOn, floor) => {
    expect(count('2026-11', { addedOn })).toBe(floor);
  });
});

describe('the floor', () => {
  it('is all there is without a plan: as many each month as the area or the group says', () => {
    expect(needsIn('2027-04', 1, {}, null).map(({ id, dayKind, days }) => [id, dayKind, days.length])).toEqual([
      ['3 2027-04 0 00', 'any', 30],
      ['3 2027-04 0 01', 'any', 30],
    ]);
    expect(count('2027-04', { floorWalks: 0 }, null)).toBe(0);
  });

  it.each([
    ['before the season', '2027-01', 2],
    ['21 of 28 days outside', '2027-02', 2],
    ['within it', '2027-04', 0],
    ['17 of 30 days outside', '2027-06', 1],
    ['after it', '2027-07', 2],
  ])('counts in proportion to the days outside the season: %s', (_, month, floor) => {
    expect(needsIn(month, 1).filter(({ dayKind }) => dayKind === 'any')).toHaveLength(floor);
  });

  it.each([
    [14, 0],
    [15, 1],
  ])('of one walk, with %i of 30 days outside, is %i', (days, floor) => {
    const plan = { ...PLAN, from: `2027-04-${String(days + 1).padStart(2, '0')}`, weeks: [] };
    expect(count('2027-04', { floorWalks: 1 }, plan)).toBe(floor);
  });

  it('may be on the days outside the season only', () => {
    expect(daysOutside(PLAN, '2027-02').days.at(-1)).toBe('2027-02-21');
    expect(daysOutside(PLAN, '2027-06').days[0]).toBe('2027-06-14');
    expect(daysOutside(null, '2028-02').days).toHaveLength(29);
    expect(daysOutside(null, '2026-12').days.at(-1)).toBe('2026-12-31');
  });
});

describe('the lengths that count', () => {
  it('keep who follows the plan within its rule, but for half a mile', () => {
    for (const need of needsIn('2027-02', 5).filter(({ dayKind }) => dayKind === 'saturday')) {
      const before = PLAN.weeks.flatMap(({ walks }) => walks).filter(({ date }) => date < (need.days[0] ?? ''));
      const longest = Math.max(PLAN.startMetres, ...before.map(({ metres }) => metres));
      expect(need.mostMetres).toBeLessThanOrEqual(Math.max(longest * 1.1, need.bestMetres + miles(0.5)) + 1);
    }
  });

  it('are on days of their kind', () => {
    for (const { dayKind, days } of needsIn('2027-02', 5).filter(({ week }) => week !== '')) {
      const kinds = days.map((day) => (weekdayOf(day) < 5 ? 'weekday' : weekdayOf(day) === 5 ? 'saturday' : 'sunday'));
      expect(new Set(kinds)).toEqual(new Set([dayKind]));
    }
  });
});
