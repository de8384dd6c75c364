import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { clashes, slotOf, slotsFor, weekdayOf } from '../../server/calc/assign-days.js';
import { NEXT_SATURDAY, SATURDAY, SUNDAY } from './assign-around.js';

const walks = fc.array(fc.record({ slots: fc.subarray(['mon', 'tue', 'wed', 'thu', 'fri'], { minLength: 1 }) }), { maxLength: 6 });

describe('days of a leader', () => {
  it('count from Monday, and take the weekend along where one walk is enough for it', () => {
    expect(['2027-03-15', SATURDAY, SUNDAY].map(weekdayOf)).toEqual([1, 6, 7]);
    expect([SATURDAY, SUNDAY, '2027-03-15', NEXT_SATURDAY].map((date) => slotOf(date, true))).toEqual([
      SATURDAY,
      SATURDAY,
      '2027-03-15',
      NEXT_SATURDAY,
    ]);
    expect(slotOf(SUNDAY, false)).toBe(SUNDAY);
  });

  it('suffice just where no clash is broken, for any of the walks', () => {
    fc.assert(
      fc.property(walks, fc.infiniteStream(fc.boolean()), (all, coin) => {
        const chosen = all.filter(() => coin.next().value);
        const isWithin = clashes(all).every(({ of, most }) => of.filter((walk) => chosen.includes(walk)).length <= most);
        expect(slotsFor(chosen) !== null).toBe(isWithin);
      }),
      { numRuns: 1000 },
    );
  });

  it('are one for each walk, of its own, early ones first', () => {
    expect(slotsFor([{ slots: ['b', 'c'] }, { slots: ['a', 'b'] }])).toEqual(['b', 'a']);
    expect(slotsFor([{ slots: ['a', 'b'] }, { slots: ['a'] }])).toEqual(['b', 'a']);
    expect(slotsFor([{ slots: ['a', 'b'] }, { slots: ['a', 'c'] }])).toEqual(['b', 'a']);
    expect(slotsFor([{ slots: ['a'] }, { slots: ['a'] }, { slots: ['b', 'c'] }])).toBeNull();
    expect(slotsFor([])).toEqual([]);
  });

  it('clash in what only several days together show', () => {
    const chain = [
      ['a', 'b'],
      ['a', 'b'],
      ['b', 'c'],
      ['c', 'd'],
      ['c', 'd'],
    ].map((slots) => ({ slots }));
    expect(clashes(chain)).toEqual([{ of: chain, most: 4 }]);
  });

  it('clash only where there are more walks than days', () => {
    expect(clashes([{ slots: ['a'] }, { slots: ['b'] }])).toEqual([]);
    expect(clashes([{ slots: ['a', 'b'] }, { slots: ['b', 'c'] }, { slots: ['a', 'c'] }])).toEqual([]);
    expect(clashes([{ slots: ['a'] }, { slots: ['a', 'b'] }, { slots: ['b'] }])).toMatchObject([{ most: 2 }]);
  });
});
