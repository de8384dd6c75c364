import { describe, expect, it } from 'vitest';
import { addDays, addMonths, monthOf, monthsFrom } from '../../server/calc/month.js';

describe('the month of an instant', () => {
  // Midnight on 1 December is 05:00 UTC in New York, 06:00 in Chicago, 13:00 the day before in Lord Howe (+11).
  it.each([
    ['America/New_York', Date.UTC(2026, 11, 1, 5)],
    ['America/Chicago', Date.UTC(2026, 11, 1, 6)],
    ['Australia/Lord_Howe', Date.UTC(2026, 10, 30, 13)],
    ['UTC', Date.UTC(2026, 11, 1)],
  ])('is its month in %s: the last instant of November, the first of December', (zone, midnight) => {
    expect(monthOf(midnight - 1, zone)).toBe('2026-11');
    expect(monthOf(midnight, zone)).toBe('2026-12');
  });
});

describe('counting', () => {
  it('months go over the turn of a year, both ways', () => {
    expect(addMonths('2026-12', 1)).toBe('2027-01');
    expect(addMonths('2026-01', -1)).toBe('2025-12');
    expect(addMonths('2026-05', 0)).toBe('2026-05');
    expect(addMonths('2026-05', -29)).toBe('2023-12');
    expect(monthsFrom('2026-11', 4)).toEqual(['2026-11', '2026-12', '2027-01', '2027-02']);
    expect(monthsFrom('2026-11', 0)).toEqual([]);
  });

  it('days go over months, leap days and clock changes', () => {
    expect(addDays('2026-12-31', 1)).toBe('2027-01-01');
    expect(addDays('2028-02-28', 1)).toBe('2028-02-29');
    expect(addDays('2026-03-01', -1)).toBe('2026-02-28');
    expect(addDays('2026-03-07', 2)).toBe('2026-03-09');
    expect(addDays('2026-11-28', 7)).toBe('2026-12-05');
  });
});
