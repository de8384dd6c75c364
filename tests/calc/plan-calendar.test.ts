import { describe, expect, it } from 'vitest';
import { addDays } from '../../server/calc/month.js';
import { seasonPlan } from '../../server/calc/plan.js';
import { calendarOf, dayKindOf, daysFrom, isFree, weekdayDates, weekdayOf } from '../../server/calc/plan-calendar.js';
import { wish } from './plans.js';

describe('the weeks of a season', () => {
  it('are counted back from the week of the event, whole, over months and years', () => {
    const { mondays } = calendarOf({ eventDay: '2027-06-12', eventDays: 2, weeks: 24 });
    expect(mondays[0]).toBe('2026-12-28');
    expect(mondays[23]).toBe('2027-06-07');
    expect(mondays).toHaveLength(24);
  });

  it('go over a leap day, and over a change of clocks, by seven days each', () => {
    const { mondays } = calendarOf({ eventDay: '2028-04-01', eventDays: 1, weeks: 8 });
    expect(mondays).toEqual([
      '2028-02-07',
      '2028-02-14',
      '2028-02-21',
      '2028-02-28',
      '2028-03-06',
      '2028-03-13',
      '2028-03-20',
      '2028-03-27',
    ]);
  });

  // Monday 7 to Sunday 13 June 2027; the longest walk is on the Saturday nearest to 21 days before.
  it.each([
    ['Monday', '2027-06-07', 12, 23],
    ['Tuesday', '2027-06-08', 12, 24],
    ['Wednesday', '2027-06-09', 13, 18],
    ['Thursday', '2027-06-10', 13, 19],
    ['Friday', '2027-06-11', 13, 20],
    ['Saturday', '2027-06-12', 13, 21],
    ['Sunday', '2027-06-13', 13, 22],
  ])('an event on a %s', (_, eventDay, peakWeek, days) => {
    const calendar = calendarOf({ eventDay, eventDays: 1, weeks: 16 });
    expect(calendar.mondays[15]).toBe('2027-06-07');
    expect(calendar.peakWeek).toBe(peakWeek);
    expect(daysFrom(addDays(calendar.mondays[peakWeek - 1] ?? '', 5), eventDay)).toBe(days);
  });
});

describe("the event's own week", () => {
  const last = (eventDay: string, weekdayWalks: number, eventDays = 1) => seasonPlan(wish({ eventDay, weekdayWalks, eventDays })).weeks[15];

  it('before a Wednesday has a Monday only: the day before is free', () => {
    expect(last('2027-06-09', 2)?.walks.map(({ date }) => date)).toEqual(['2027-06-07']);
    expect(last('2027-06-08', 2)?.walks).toEqual([]);
  });

  it.each([
    ['2027-06-11', 4, ['2027-06-07', '2027-06-08', '2027-06-09']],
    ['2027-06-12', 4, ['2027-06-07', '2027-06-08', '2027-06-09', '2027-06-10']],
    ['2027-06-12', 1, ['2027-06-09']],
    ['2027-06-13', 3, ['2027-06-08', '2027-06-09', '2027-06-10']],
  ])('before %s with %i weekday walks', (eventDay, weekdayWalks, dates) => {
    expect(last(eventDay, weekdayWalks)?.walks.map(({ date }) => date)).toEqual(dates);
  });

  it('lasts to its Sunday, or until the event is over', () => {
    expect(last('2027-06-09', 2, 5)?.to).toBe('2027-06-13');
    expect(last('2027-06-09', 2, 6)?.to).toBe('2027-06-14');
    expect(last('2027-06-12', 2, 30)?.to).toBe('2027-07-11');
  });

  it("leaves out the Sunday before a Monday's event, and keeps it before a Tuesday's", () => {
    const sunday = (eventDay: string) => seasonPlan(wish({ eventDay })).weeks[14]?.walks.some(({ slot }) => slot === 'sunday');
    expect(sunday('2027-06-07')).toBe(false);
    expect(sunday('2027-06-08')).toBe(true);
  });
});

describe('days', () => {
  it('are told apart', () => {
    expect(['2027-06-11', '2027-06-12', '2027-06-13', '2027-06-14'].map(dayKindOf)).toEqual(['weekday', 'saturday', 'sunday', 'weekday']);
    expect(weekdayOf('2028-02-29')).toBe(1);
    expect(daysFrom('2028-02-28', '2028-03-01')).toBe(2);
  });

  it('are free from the one before the event on', () => {
    expect(isFree('2027-06-10', '2027-06-12')).toBe(false);
    expect(isFree('2027-06-11', '2027-06-12')).toBe(true);
  });

  it('are suggested apart, over the end of a month', () => {
    expect(weekdayDates('2027-03-29', 2, '2027-06-12')).toEqual(['2027-03-30', '2027-04-01']);
    expect(weekdayDates('2027-03-29', 5, '2027-06-12')).toHaveLength(5);
    expect(weekdayDates('2027-03-29', 6, '2027-06-12')).toHaveLength(5);
  });
});
