import { describe, expect, it } from 'vitest';
import { HANDBOOK } from '../../server/handbook/pages.js';
import { asTyped, readQuestion } from '../../server/quiz/bank-form.js';
import { bank, question } from '../../server/quiz/bank-store.js';
import { SAMPLE_QUESTIONS } from '../../server/quiz/samples.js';
import { freshDatabase } from '../support/app.js';

describe('the questions that come with the program', () => {
  it('are at least 24, over all pages of the handbook and no others', () => {
    expect(SAMPLE_QUESTIONS.length).toBeGreaterThanOrEqual(24);
    for (const { slug } of HANDBOOK)
      expect([slug, SAMPLE_QUESTIONS.filter((one) => one.page === slug).length]).toEqual([slug, expect.toSatisfy((n: number) => n >= 4)]);
    const pages = new Set(HANDBOOK.map(({ slug }) => slug));
    expect(SAMPLE_QUESTIONS.filter((one) => !pages.has(one.page))).toEqual([]);
  });

  it.each(SAMPLE_QUESTIONS.map((one) => [one.question, one] as const))('%s could have been written on the form', (_, one) => {
    const written = { ...one, answers: [...one.answers], rightAnswer: 0 };
    expect(readQuestion(asTyped(written))).toEqual({ question: written });
  });

  it('ask each thing once', () => {
    expect(new Set(SAMPLE_QUESTIONS.map((one) => one.question)).size).toBe(SAMPLE_QUESTIONS.length);
  });

  it('lie in every database from the step on that makes the bank, written by nobody', () => {
    const db = freshDatabase();
    expect(
      bank(db.q)
        .map((one) => one.question)
        .sort(),
    ).toEqual(SAMPLE_QUESTIONS.map((one) => one.question).sort());
    expect(question(db.q, 1)).toMatchObject({ createdAt: null, byName: null, rightAnswer: 0, answers: SAMPLE_QUESTIONS[0]?.answers });
    db.close();
  });
});
