import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type SeasonPlan, seasonPlan } from '../../server/calc/plan.js';
import { type WeekEdit, withEdits } from '../../server/calc/plan-edits.js';
import { findingsOf } from '../../server/calc/plan-findings.js';
import { anyWish, miles, row, wish } from './plans.js';

const plan = seasonPlan(wish());

/** A week's walks in miles. */
function edit(week: number, weekday: number[], saturday: number, sunday: number): WeekEdit {
  return { week, weekday: weekday.map(miles), saturday: miles(saturday), sunday: miles(sunday) };
}

const rowOf = ({ weeks }: SeasonPlan, number: number) => weeks.filter((week) => week.number === number).map(row)[0];
const wordsOf = (...edits: WeekEdit[]) => withEdits(plan, edits).findings.map(({ words }) => words);
const kindsOf = (...edits: WeekEdit[]) => withEdits(plan, edits).findings.map(({ week, kind }) => `${week} ${kind}`);

describe('a plan with edits', () => {
  it('is the plan where there are none', () => {
    expect(withEdits(plan, [])).toEqual({ plan, findings: [] });
  });

  it('has the edited week instead of its own, adds up, and leaves every other week as it was', () => {
    const { plan: edited } = withEdits(plan, [edit(6, [4, 3.5], 12, 0)]);
    expect(rowOf(edited, 6)).toBe('6 build: 4 + 3.5, 12, - = 19.5');
    expect(edited.weeks.filter((_, index) => index !== 5)).toEqual(plan.weeks.filter((_, index) => index !== 5));
    expect(edited.metres).toBeCloseTo(plan.metres - miles(1), 6);
    expect([edited.startMetres, edited.from, edited.to]).toEqual([plan.startMetres, plan.from, plan.to]);
    expect(rowOf(plan, 6)).toBe('6 build: 4 + 4, 12.5, - = 20.5');
  });

  it('never changes another week, whatever is set', () => {
    const length = fc.integer({ min: 0, max: 60_000 });
    const anyEdit = fc.record({
      week: fc.integer({ min: 1, max: 40 }),
      weekday: fc.array(length, { maxLength: 4 }),
      saturday: fc.option(length),
      sunday: fc.option(length),
    });
    fc.assert(
      fc.property(anyWish, fc.array(anyEdit, { maxLength: 5 }), (one, edits) => {
        const own = seasonPlan(one);
        const { plan: edited, findings } = withEdits(own, edits);
        const touched = new Set(edits.map(({ week }) => week));
        expect(edited.weeks.filter(({ number }) => !touched.has(number))).toEqual(own.weeks.filter(({ number }) => !touched.has(number)));
        expect(edited.metres).toBeCloseTo(
          edited.weeks.flatMap(({ walks }) => walks).reduce((sum, { metres }) => sum + metres, 0),
          3,
        );
        for (const { words } of findings) expect(words).toMatch(/^(?!.*(NaN|undefined|Infinity)).*\.$/);
      }),
      { numRuns: 200 },
    );
  });

  it('drops a walk without length; of two edits of a week the later counts', () => {
    const { plan: edited } = withEdits(plan, [edit(6, [4, 4], 12.5, 5), edit(6, [0, 4], 0, 0)]);
    expect(rowOf(edited, 6)).toBe('6 build: 4, -, - = 4');
    // Alone, it has the middle of the week.
    expect(edited.weeks[5]?.walks[0]?.date).toBe('2027-03-31');
    expect(withEdits(plan, [{ week: 6, weekday: [], saturday: null, sunday: null }]).plan.weeks[5]?.walks).toEqual([]);
  });

  it('says what it left out: a week that is no more, a walk where the event is', () => {
    expect(wordsOf(edit(17, [3], 9, 0))).toEqual(['The plan has no week 17 any more: what was set for it is left out.']);
    const { plan: edited, findings } = withEdits(plan, [edit(16, [2.5, 2.5], 5, 0)]);
    expect(rowOf(edited, 16)).toBe('16 event: 2.5 + 2.5, -, - = 5');
    expect(findings.map(({ words }) => words)).toEqual([
      'Week 16: the event and the day before it are kept free, so a walk set for them is left out.',
    ]);
    expect(wordsOf(edit(16, [2.5, 2.5], 0, 0))).toEqual([]);
  });
});

it('finds nothing in a plan that was not edited', () => {
  fc.assert(
    fc.property(anyWish, (one) => {
      expect(findingsOf(seasonPlan(one))).toEqual([]);
    }),
    { numRuns: 300 },
  );
});

describe('a walk that is too long', () => {
  it('is more than 110 % of the longest of the 30 days before; lengths in whole metres may be a rounding over', () => {
    // Week 6 has 12.5 miles on Saturday; the longest of week 7 may be 13.75.
    expect(wordsOf({ ...edit(7, [4.5, 4.5], 0, 5.5), saturday: Math.ceil(miles(13.75)) })).toEqual([]);
    expect(wordsOf(edit(7, [4.5, 4.5], 14, 5.5))).toEqual([
      'Week 7, Saturday: 14 mi is more than 10 % longer than the longest walk of the 30 days before it. Make it 13.5 mi at most, or lengthen the walks before it.',
    ]);
  });

  it('is weighed against the start at first, and a weekday walk against what is before the whole week', () => {
    expect(kindsOf(edit(1, [3, 3], 9.9, 0))).toEqual([]);
    expect(kindsOf(edit(1, [3, 3], 10, 0))).toContain('1 too long');
    expect(kindsOf(edit(1, [9.5, 10.4], 9.5, 0))).toContain('1 too long');
  });

  it('comes after 30 days without any', () => {
    const none = (week: number) => edit(week, [], 0, 0);
    expect(wordsOf(none(1), none(2), none(3), none(4), edit(5, [], 8, 0))).toContain(
      'Week 5, Saturday: 8 mi comes after 30 days without a walk. Put shorter walks before it.',
    );
    expect(wordsOf(none(1), none(2), none(3), edit(4, [], 8, 0)).join(' ')).not.toContain('without a walk');
  });
});

describe('lighter weeks', () => {
  // Week 7 has 28 miles: 85 % of it are 23.8.
  it('are missed where more than four weeks have none', () => {
    expect(kindsOf(edit(8, [4, 4], 11.8, 4))).toEqual([]);
    expect(wordsOf(edit(8, [4, 4], 12, 4))).toEqual([
      'Weeks 5 to 11 have no lighter week among them. Make every fourth about a quarter shorter than the one before it.',
    ]);
  });

  it('are not missed after four', () => {
    // The lighter one is week 5 instead of week 4.
    expect(kindsOf(edit(4, [3.5, 3.5], 11.5, 0), edit(5, [3, 3], 8, 0))).toEqual([]);
  });

  it('are missed up to the longest walk', () => {
    expect(kindsOf(edit(12, [5.5, 5.5], 17, 10))).toEqual(['13 no lighter week']);
  });
});

describe('the longest walk', () => {
  // 80 to 90 % of 22 miles: 17.6 to 19.8.
  it.each([
    [17.6, []],
    [17.5, ['The longest walk, 17.5 mi in week 13, is 79 % of a day of the event. Lengthen it: 80 to 90 % is usual.']],
  ])('of %d miles', (saturday, words) => {
    expect(wordsOf(edit(13, [6, 6], saturday, 12.5))).toEqual(words);
  });

  it('is too long beyond 90 %, though it may be reached', () => {
    const before = [edit(11, [5.5, 5.5], 17, 10), edit(12, [4, 4], 18.5, 3)];
    expect(wordsOf(...before, edit(13, [6, 6], 19.8, 12.5)).join(' ')).not.toContain('% of a day');
    expect(wordsOf(...before, edit(13, [6, 6], 20, 12.5))).toContain(
      'The longest walk, 20 mi in week 13, is 91 % of a day of the event. Shorten it: 80 to 90 % is usual.',
    );
  });

  it('is too near the event under fifteen days, too early over 27', () => {
    expect(wordsOf(edit(14, [3, 3], 18.5, 6))).toContain(
      'The longest walk, 18.5 mi in week 14, is 14 days before the event: too near to rest from. About three weeks before it is usual.',
    );
    expect(wordsOf(edit(13, [6, 6], 12, 9)).join(' ')).toContain('is 35 days before the event: a long time.');
    // On the Sunday of week 14 it is thirteen days before, on that of week 13 twenty.
    expect(kindsOf(edit(13, [6, 6], 17, 18.5))).toEqual([]);
  });
});

describe('the taper', () => {
  // The three fullest of weeks 10 to 13 have 34, 38 and 43 miles: 38.33. Two weeks with 41 % less come to 45.23 miles, with 60 % less to 30.67.
  it('is too little under 41 %, too much over 60 %', () => {
    expect(kindsOf(edit(14, [3, 3], 9, 6), edit(15, [3, 3], 12, 6.2))).toEqual([]);
    expect(wordsOf(edit(14, [3, 3], 9, 6), edit(15, [3, 3], 12, 6.3))).toEqual([
      'After the longest walk a week has 40 % less than the full weeks before. Shorten its walks, and keep their number: 41 to 60 % less is best.',
    ]);
    expect(kindsOf(edit(14, [2, 2], 8, 4), edit(15, [2, 2], 7, 3.7))).toEqual([]);
    expect(wordsOf(edit(14, [2, 2], 8, 4), edit(15, [2, 2], 7, 3.6))).toEqual([
      'After the longest walk a week has 61 % less than the full weeks before. Lengthen its walks a little: 41 to 60 % less is best.',
    ]);
  });

  it('that is none is said', () => {
    expect(wordsOf(edit(14, [6, 6], 18, 12.5), edit(15, [6, 6], 18, 12.5)).join(' ')).toContain('a week has no less than');
  });
});
