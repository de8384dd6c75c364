import { describe, expect, it } from 'vitest';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { seasonPlan } from '../../server/calc/plan.js';
import { lengthsAround, longestAllowed, planWeekOf, slotOf } from '../../server/calc/plan-slots.js';
import { miles, wish } from './plans.js';

const plan = seasonPlan(wish());
const weekOf = (date: string) => {
  const week = planWeekOf(plan, date);
  return typeof week === 'string' ? week : week.number;
};

describe('the week of a date', () => {
  it.each([
    ['2027-02-21', 'before'],
    ['2027-02-22', 1],
    ['2027-02-28', 1],
    ['2027-03-01', 2],
    ['2027-06-13', 16],
    ['2027-06-14', 'after'],
  ])('%s: %s', (date, week) => {
    expect(weekOf(date)).toBe(week);
  });
});

describe('the walk of the plan that one suits', () => {
  // Week 13: 6 miles twice, 18.5 on Saturday 22 May, 12.5 on Sunday.
  const slot = (date: string, metres: number, tolerance?: { share: number; metres: number }) => {
    const found = slotOf(plan, { date, metres }, tolerance);
    return found && `${found.week.number} ${found.walk.slot} ${found.index}`;
  };

  it('is one of its kind of day, whichever weekday it is', () => {
    expect(slot('2027-05-17', miles(6))).toBe('13 weekday 0');
    expect(slot('2027-05-21', miles(6))).toBe('13 weekday 0');
    expect(slot('2027-05-22', miles(18.5))).toBe('13 saturday 2');
    expect(slot('2027-05-23', miles(12.5))).toBe('13 sunday 3');
    expect(slot('2027-05-22', miles(12.5))).toBeNull();
    expect(slot('2027-05-21', miles(18.5))).toBeNull();
  });

  it('is within 15 % of the longer ones, within a mile of the shorter ones', () => {
    expect(slot('2027-05-23', 12.5 * 1.15 * METRES_PER_MILE)).toBe('13 sunday 3');
    expect(slot('2027-05-23', 12.5 * 1.15 * METRES_PER_MILE + 1)).toBeNull();
    expect(slot('2027-05-22', 18.5 * 0.85 * METRES_PER_MILE)).toBe('13 saturday 2');
    expect(slot('2027-05-22', 18.5 * 0.85 * METRES_PER_MILE - 1)).toBeNull();
    expect(slot('2027-05-19', miles(7))).toBe('13 weekday 0');
    expect(slot('2027-05-19', miles(7) + 1)).toBeNull();
    // 3.5 miles are 5632.7 metres, kept as 5633.
    expect(slot('2027-06-10', Math.round(miles(3.5)))).toBe('16 weekday 0');
  });

  it('is no more than half a mile over the plan where 110 % of the longest walk before is less', () => {
    expect(slot('2027-05-22', miles(19))).toBe('13 saturday 2');
    expect(slot('2027-05-22', miles(19) + 1)).toBeNull();
  });

  it('goes by the tolerance that is set', () => {
    expect(slot('2027-05-22', miles(18), { share: 0, metres: 0 })).toBeNull();
    expect(slot('2027-05-22', miles(10), { share: 0.5, metres: 0 })).toBe('13 saturday 2');
  });

  it('is the nearest of several', () => {
    const [week] = plan.weeks;
    const walks = [3, 4].map((length, index) => ({ slot: 'weekday' as const, date: `2027-02-2${3 + index}`, metres: miles(length) }));
    const two = { ...plan, weeks: week ? [{ ...week, walks }] : [] };
    expect(slotOf(two, { date: '2027-02-22', metres: miles(3.75) })?.index).toBe(1);
    expect(slotOf(two, { date: '2027-02-22', metres: miles(3.5) })?.index).toBe(0);
  });

  it('is none outside the plan, and from the day before the event on', () => {
    expect(slot('2027-02-20', miles(9.5))).toBeNull();
    expect(slot('2027-06-10', miles(2.5))).toBe('16 weekday 0');
    expect(slot('2027-06-11', miles(2.5))).toBeNull();
    expect(slot('2027-06-12', miles(2.5))).toBeNull();
    expect(slot('2027-06-19', miles(2.5))).toBeNull();
  });
});

describe('the lengths that count', () => {
  const WIDE = { share: 0.15, metres: 1609 };
  it.each([
    ['the share, of a long walk', 20_000, 30_000, WIDE, 17_000, 23_000],
    ['a mile either way, of a short one', 5000, 30_000, WIDE, 3391, 6609],
    ['110 % of the longest before, above', 20_000, 19_000, WIDE, 17_000, 20_900],
    ['what is within half a mile, though that is more', 20_000, 15_000, WIDE, 17_000, 20_805],
    ['half a mile, with nothing before', 20_000, 0, WIDE, 17_000, 20_805],
    ['nothing below 0', 1000, 30_000, WIDE, 0, 2609],
  ])('%s', (_, best, longest, tolerance, least, most) => {
    expect(lengthsAround(best, longest, tolerance, 805)).toEqual({ least: least - 0.5, most: most + 0.5 });
  });
});

it('allows a tenth more than the longest of the last 30 days', () => {
  expect(longestAllowed(10_000)).toBeCloseTo(11_000, 9);
});
