import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addDays, addMonths } from '../../server/calc/month.js';
import { type CountedWalk, cover, placer } from '../../server/coverage/covered.js';
import { metBy, needsIn, PLAN, walk } from './area.js';

const APRIL = needsIn('2027-04', 1);

describe('a walk of the season', () => {
  it.each([
    ['meets the need of its week, kind and length', '2027-04-10', 13.5, '3 2027-04-05 2 0'],
    ['does not where it is on the Sunday', '2027-04-11', 13.5, null],
    ['does not in the week after', '2027-04-17', 13.5, null],
    ['does not where it is shorter than counts', '2027-04-10', 11.4, null],
    ['does not where it is longer than counts', '2027-04-10', 14.1, null],
    ['on a Monday of the month before, meets the weekday need of its Thursday', '2027-03-29', 4, '3 2027-03-29 1 0'],
    ['on a weekday whose Thursday is in the month before, does not count in its own', '2027-04-02', 4, '3 2027-03-29 1 0'],
  ])('%s', (_, date, length, need) => {
    const met = Object.entries(metBy(APRIL, [walk(7, date, length)])).filter(([, by]) => by === 7);
    expect(met.map(([id]) => id)).toEqual(need === null ? [] : [need]);
  });

  it('meets one need at most: of two Saturdays wanted one walk leaves one unmet', () => {
    const needs = needsIn('2027-04', 1, { wants: { weekday: 0, saturday: 2, sunday: 0 } });
    expect(metBy(needs, [walk(7, '2027-04-10', 13.5)])).toMatchObject({ '3 2027-04-05 2 0': 7, '3 2027-04-05 2 1': null });
  });

  it('on the day before the event meets nothing', () => {
    expect(Object.values(metBy(needsIn('2027-06', 1), [walk(7, '2027-06-11', 2.5)]))).not.toContain(7);
    expect(Object.values(metBy(needsIn('2027-06', 1), [walk(7, '2027-06-10', 2.5)]))).toContain(7);
  });

  it('does not meet the floor of a month that is partly in the season, and one outside does, whatever its length', () => {
    const february = needsIn('2027-02', 1);
    expect(metBy(february, [walk(7, '2027-02-22', 20)])['3 2027-02 0 00']).toBeNull();
    expect(metBy(february, [walk(7, '2027-02-21', 20)])['3 2027-02 0 00']).toBe(7);
  });
});

describe('the floor', () => {
  it('is met by the first walks of its month', () => {
    const walks = [walk(9, '2026-12-05', 5), walk(8, '2026-12-05', 9), walk(7, '2026-12-20', 3), walk(6, '2027-01-01', 3)];
    expect(metBy(needsIn('2026-12', 1), walks)).toEqual({ '3 2026-12 0 00': 8, '3 2026-12 0 01': 9 });
    expect(cover(needsIn('2026-12', 1), walks, placer(PLAN)).spare.map(({ id }) => id)).toEqual([7, 6]);
  });

  it('is met in the month of the set-off, where people gather before midnight', () => {
    const midnight = walk(7, '2026-12-31', 5, '2027-01');
    expect(metBy(needsIn('2026-12', 2), [midnight])).toMatchObject({ '3 2026-12 0 00': null, '3 2027-01 0 00': 7 });
  });
});

const anyWalk = fc
  .record({ day: fc.integer({ min: 0, max: 200 }), length: fc.integer({ min: 2, max: 22 }) })
  .map(({ day, length }) => ({ date: addDays('2027-01-01', day), length }));
const anyWalks = fc.array(anyWalk, { maxLength: 60 }).map((all) => all.map((one, index) => walk(index + 1, one.date, one.length)));
const anyWants = fc.record({
  weekday: fc.integer({ min: 0, max: 4 }),
  saturday: fc.integer({ min: 0, max: 3 }),
  sunday: fc.integer({ min: 0, max: 3 }),
});

describe('whatever is wanted and posted', () => {
  const unmet = (walks: CountedWalk[], needs: ReturnType<typeof needsIn>) =>
    cover(needs, walks, placer(PLAN)).covered.filter((one) => one.walk === null).length;

  it('each need is there once, each walk meets one at most or is spare, and the order makes no difference', () => {
    fc.assert(
      fc.property(anyWalks, anyWants, fc.integer({ min: 0, max: 5 }), (walks, wants, floorWalks) => {
        const needs = needsIn('2027-01', 7, { wants, floorWalks });
        const { covered, spare } = cover(needs, walks, placer(PLAN));
        expect(covered.map(({ need }) => need.id)).toEqual(needs.map(({ id }) => id).sort());
        const used = [...covered.flatMap((one) => one.walk ?? []), ...spare].map(({ id }) => id);
        expect(used.sort((a, b) => a - b)).toEqual(walks.map(({ id }) => id));
        expect(cover(needs.toReversed(), walks.toReversed(), placer(PLAN))).toEqual({ covered, spare });
      }),
      { numRuns: 60 },
    );
  });

  it('the months asked for make no difference either: each month alone is as it is among others', () => {
    fc.assert(
      fc.property(anyWalks, anyWants, (walks, wants) => {
        const whole = metBy(needsIn('2027-01', 7, { wants }), walks);
        const alone = Array.from({ length: 7 }, (_, index) => metBy(needsIn(addMonths('2027-01', index), 1, { wants }), walks));
        expect(Object.assign({}, ...alone)).toEqual(whole);
      }),
      { numRuns: 60 },
    );
  });

  it('one more walk never leaves more unmet, nor fewer by more than one', () => {
    fc.assert(
      fc.property(anyWalks, anyWants, anyWalk, (walks, wants, more) => {
        const needs = needsIn('2027-01', 7, { wants });
        const before = unmet(walks, needs);
        const after = unmet([...walks, walk(99, more.date, more.length)], needs);
        expect(before - after === 0 || before - after === 1).toBe(true);
      }),
      { numRuns: 100 },
    );
  });
});
