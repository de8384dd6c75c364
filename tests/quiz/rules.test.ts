import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chanceFrom, shuffled } from '../../server/quiz/chance.js';
import { type Drawable, draw, isPassed, rightNeeded } from '../../server/quiz/rules.js';

const answers = ['a', 'b', 'c'];

/** A bank of so many questions on each of some pages. */
const bankOf = (sizes: number[]): Drawable[] =>
  sizes.flatMap((size, page) => Array.from({ length: size }, (_, one) => ({ id: page * 100 + one + 1, page: `page-${page}`, answers })));

const banks = fc.array(fc.integer({ min: 0, max: 9 }), { maxLength: 8 }).map(bankOf);

describe('drawing', () => {
  it('gives distinct questions, as many as asked for or as there are, evenly over the pages, each with all its answers', () => {
    fc.assert(
      fc.property(banks, fc.integer({ min: 1, max: 50 }), fc.string(), fc.array(fc.nat(800)), (bank, count, secret, asked) => {
        const drawn = draw(bank, count, new Set(asked), chanceFrom(secret));
        expect(drawn.length).toBe(Math.min(count, bank.length));
        expect(new Set(drawn.map((one) => one.questionId)).size).toBe(drawn.length);
        for (const { answerOrder } of drawn) expect([...answerOrder].sort()).toEqual([0, 1, 2]);
        const pageOf = (id: number) => bank.find((one) => one.id === id)?.page ?? 'none';
        const counts = new Map(bank.map(({ page }) => [page, 0]));
        for (const { questionId } of drawn) counts.set(pageOf(questionId), (counts.get(pageOf(questionId)) ?? 0) + 1);
        expect(counts.has('none')).toBe(false);
        const most = Math.max(0, ...counts.values());
        // A page may lag by more than one only where it has nothing left.
        for (const [page, taken] of counts)
          expect(taken >= most - 1 || taken === bank.filter((one) => one.page === page).length).toBe(true);
      }),
    );
  });

  it('takes those that the last attempt did not ask first, page by page', () => {
    fc.assert(
      fc.property(fc.string(), (secret) => {
        const bank = bankOf([4, 4, 4]);
        const first = draw(bank, 6, new Set(), chanceFrom(secret)).map((one) => one.questionId);
        const second = draw(bank, 6, new Set(first), chanceFrom(`${secret}!`)).map((one) => one.questionId);
        expect(second.filter((id) => first.includes(id))).toEqual([]);
      }),
    );
  });

  it('follows its chance, and another chance draws otherwise', () => {
    const bank = bankOf([9, 9, 9]);
    const drawn = (secret: string) => JSON.stringify(draw(bank, 10, new Set(), chanceFrom(secret)));
    expect(drawn('one')).toBe(drawn('one'));
    expect(drawn('one')).not.toBe(drawn('two'));
  });

  it('favours no order of answers', () => {
    const chance = chanceFrom('even');
    const counts = new Map<string, number>();
    for (let round = 0; round < 6000; round += 1) {
      const order = shuffled([0, 1, 2], chance).join('');
      counts.set(order, (counts.get(order) ?? 0) + 1);
    }
    expect(counts.size).toBe(6);
    for (const count of counts.values()) expect(Math.abs(count - 1000)).toBeLessThan(150);
  });
});

describe('the pass mark', () => {
  it.each([
    [10, 80, 8],
    [7, 80, 6],
    [3, 67, 3],
    [3, 66, 2],
    [10, 75, 8],
    [25, 56, 14],
    [50, 58, 29],
    [1, 1, 1],
    [4, 100, 4],
  ])('of %i questions at %i per cent is %i: one fewer does not pass', (questions, percent, needed) => {
    expect(rightNeeded(questions, percent)).toBe(needed);
    expect(isPassed(needed, questions, percent)).toBe(true);
    expect(isPassed(needed - 1, questions, percent)).toBe(false);
  });

  it('is the fewest that make the percentage, for every size and percentage', () => {
    for (let questions = 1; questions <= 50; questions += 1)
      for (let percent = 1; percent <= 100; percent += 1) {
        const needed = rightNeeded(questions, percent);
        expect([questions, percent, needed * 100 >= percent * questions, (needed - 1) * 100 < percent * questions]).toEqual([
          questions,
          percent,
          true,
          true,
        ]);
      }
  });

  it('is not reached where nothing was asked', () => {
    expect(isPassed(0, 0, 80)).toBe(false);
  });
});
