import { describe, expect, it } from 'vitest';
import { readAsked, seasonMonths } from '../../server/report/asked.js';

const SEASON = { eventDay: '2027-06-12', eventDays: 2, seasonWeeks: 16 };
const NONE = { ...SEASON, eventDay: '' };

describe('the months of a season', () => {
  it('are whole ones, from that of its first Monday to that of the event', () => {
    expect(seasonMonths(SEASON)).toEqual(['2027-02', '2027-03', '2027-04', '2027-05', '2027-06']);
    expect(seasonMonths(NONE)).toBeNull();
  });

  it('reach to the month in which their first and last week begin and end, to the day', () => {
    // A Monday on March 1; a week more begins in February.
    expect(seasonMonths({ eventDay: '2027-06-12', eventDays: 2, seasonWeeks: 15 })?.[0]).toBe('2027-03');
    // The event is over on the last of July, or goes on into August.
    expect(seasonMonths({ eventDay: '2027-07-30', eventDays: 2, seasonWeeks: 8 })?.at(-1)).toBe('2027-07');
    expect(seasonMonths({ eventDay: '2027-07-30', eventDays: 3, seasonWeeks: 8 })?.at(-1)).toBe('2027-08');
  });
});

describe('what is asked for', () => {
  it('is the season from its first month on; before that, or without one, the last twelve months', () => {
    expect(readAsked({}, '2027-02', SEASON)).toEqual({ months: seasonMonths(SEASON), kind: 'season', faults: [] });
    expect(readAsked({}, '2028-01', SEASON).kind).toBe('season');
    const before = readAsked({}, '2027-01', SEASON);
    expect([before.kind, before.months[0], before.months.at(-1)]).toEqual(['last months', '2026-02', '2027-01']);
    expect(readAsked({}, '2027-02', NONE).kind).toBe('last months');
  });

  it('is so many months from one on, or up to this one', () => {
    expect(readAsked({ from: '2026-11', months: '3' }, '2027-02', SEASON).months).toEqual(['2026-11', '2026-12', '2027-01']);
    expect(readAsked({ months: '3' }, '2027-02', SEASON).months).toEqual(['2026-12', '2027-01', '2027-02']);
    expect(readAsked({ from: '2026-11' }, '2027-02', SEASON).months).toHaveLength(12);
  });

  it.each<[{ from?: string; months?: string }, number]>([
    [{ from: '2026-13' }, 1],
    [{ from: '0001-01' }, 1],
    [{ from: '9999-12' }, 1],
    [{ months: '0' }, 1],
    [{ months: '25' }, 1],
    [{ from: 'x', months: 'x' }, 2],
    [{ from: '2026-11', months: '24' }, 0],
    [{ from: '', months: '' }, 0],
  ])('leaves out what can not be read, and says so: %j', (query, faults) => {
    const asked = readAsked(query, '2027-02', SEASON);
    expect(asked.faults).toHaveLength(faults);
    expect(asked.kind).toBe(faults > 0 || query.from === '' ? 'season' : 'chosen');
  });
});
