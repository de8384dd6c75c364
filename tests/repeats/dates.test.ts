import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type DatesForm, MOST_DATES, readDates } from '../../server/repeats/dates.js';
import { shortDates } from '../../server/repeats/short-dates.js';

const SATURDAY = '2026-12-05';
const form = (changed: Partial<DatesForm>): DatesForm => ({ every: '1', ends: 'count', count: '3', until: '', dates: '', ...changed });
const read = (changed: Partial<DatesForm>) => readDates(form(changed), SATURDAY, US);
const US = shortDates('en-US', '2026-11-25');

describe('the dates of a series', () => {
  it.each([
    ['1', ['2026-12-12', '2026-12-19', '2026-12-26']],
    ['2', ['2026-12-19', '2027-01-02', '2027-01-16']],
    ['4', ['2027-01-02', '2027-01-30', '2027-02-27']],
  ])('every %s weeks are on the same weekday', (every, dates) => {
    expect(read({ every })).toEqual({ dates });
  });

  it('take 26 walks and no more, by number', () => {
    expect(read({ count: '26' })).toMatchObject({ dates: { length: MOST_DATES } });
    for (const count of ['27', '0', '', 'many', '-1']) expect(read({ count })).toMatchObject({ faults: { count: expect.any(String) } });
    expect(read({ count: '1' })).toEqual({ dates: ['2026-12-12'] });
  });

  it('until a date take that very date in, and none before the first', () => {
    const until = (date: string) => read({ ends: 'until', until: date });
    expect(until('2026-12-19')).toEqual({ dates: ['2026-12-12', '2026-12-19'] });
    expect(until('2026-12-18')).toEqual({ dates: ['2026-12-12'] });
    expect(until('2026-12-12')).toEqual({ dates: ['2026-12-12'] });
    expect(until('2026-12-11')).toMatchObject({ faults: { until: expect.stringContaining('2026-12-12') } });
    expect(until('2026-02-30')).toMatchObject({ faults: { until: expect.any(String) } });
  });

  it('until a date are 26 at most', () => {
    expect(read({ ends: 'until', until: '2027-06-05' })).toMatchObject({ dates: { length: 26 } });
    expect(read({ ends: 'until', until: '2027-06-11' })).toMatchObject({ dates: { length: 26 } });
    expect(read({ ends: 'until', until: '2027-06-12' })).toMatchObject({ faults: { until: expect.stringContaining('26') } });
  });

  it('by a list come in their order, each once', () => {
    expect(read({ every: 'dates', dates: '2027-01-09\n2026-12-12, 2027-01-09' })).toEqual({ dates: ['2026-12-12', '2027-01-09'] });
    expect(read({ every: 'dates', dates: '2026-12-12\nnext week' })).toMatchObject({ faults: { dates: expect.stringContaining('next') } });
    expect(read({ every: 'dates', dates: '' })).toMatchObject({ faults: { dates: expect.any(String) } });
    const many = (count: number) => Array.from({ length: count }, (_, index) => `2027-01-${String(index + 1).padStart(2, '0')}`).join('\n');
    expect(read({ every: 'dates', dates: many(26) })).toMatchObject({ dates: { length: 26 } });
    expect(read({ every: 'dates', dates: many(27) })).toMatchObject({ faults: { dates: expect.stringContaining('27') } });
  });

  it('by a list may be short, month first where the group writes it so', () => {
    expect(read({ every: 'dates', dates: '12/19\n1/9/2027, 2027-01-02' })).toEqual({ dates: ['2026-12-19', '2027-01-02', '2027-01-09'] });
    expect(read({ every: 'dates', dates: '19/12' })).toMatchObject({
      faults: { dates: expect.stringContaining('as 12/19 or 2026-12-19') },
    });
    for (const locale of ['en-GB', 'de-DE', 'en-AU']) {
      const { example, read: one } = shortDates(locale, '2026-11-25');
      expect([example, one('19/12'), one('12/19'), one('19.12.2026'), one('9-1-27')]).toEqual([
        ...['19/12', '2026-12-19', null, '2026-12-19', '2027-01-09'],
      ]);
    }
  });

  it('without a year are the next such date, today too', () => {
    expect(['11/25', '11/24', '2/29', '2/30', '12/19/', '12/19-2026'].map(US.read)).toEqual([
      ...['2026-11-25', '2027-11-24', '2028-02-29', null, null, null],
    ]);
  });

  it('are dates or a sentence, whatever is typed', () => {
    const text = fc.oneof(
      fc.string(),
      fc.constantFrom('1', '2', '4', 'dates', 'count', 'until', '2027-02-29', '9999-12-31', '__proto__', 'toString'),
    );
    fc.assert(
      fc.property(fc.record({ every: text, ends: text, count: text, until: text, dates: text }), (typed) => {
        const found = readDates(typed, SATURDAY, US);
        if ('faults' in found) return Object.keys(found.faults).length === 1;
        return found.dates.length > 0 && found.dates.length <= MOST_DATES && found.dates.every((date) => /^\d{4}-\d\d-\d\d$/.test(date));
      }),
    );
  });
});
