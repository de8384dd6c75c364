import { describe, expect, it } from 'vitest';
import { HANDBOOK_MINUTES } from '../../server/handbook/pages.js';
import { stepRows } from '../../server/joining/step-rows.js';
import { missing, type Progress, steps } from '../../server/joining/steps.js';

const NOTHING: Progress = {
  applied: false,
  handbook: { read: 0, of: 7, next: 'start' },
  quizPassedAt: null,
  agreed: false,
  otherName: null,
};
const READ = { read: 7, of: 7, next: null };

/** "done", "next", "open" or "waits" for each step, in their order. */
function marks(progress: Partial<Progress>): string {
  return steps({ ...NOTHING, ...progress })
    .map(({ state, next }) => (next ? 'next' : state))
    .join(' ');
}

describe('the steps to leading', () => {
  it.each<[string, Partial<Progress>, string]>([
    ['nothing yet', {}, 'next waits waits waits waits'],
    ['applied', { applied: true }, 'done next open open waits'],
    ['reading', { applied: true, handbook: { read: 6, of: 7, next: 'last' } }, 'done next open open waits'],
    ['read', { applied: true, handbook: READ }, 'done done next open waits'],
    ['quiz first', { applied: true, quizPassedAt: 1 }, 'done next done open waits'],
    ['agreement first', { applied: true, agreed: true }, 'done next open done waits'],
    ['all but the quiz', { applied: true, handbook: READ, agreed: true }, 'done done next done waits'],
    ['all', { applied: true, handbook: READ, quizPassedAt: 1, agreed: true }, 'done done done done waits'],
    ['all, but not applied', { handbook: READ, quizPassedAt: 1, agreed: true }, 'next done done done waits'],
    ['of a longer handbook', { applied: true, handbook: { read: 7, of: 8, next: 'new' } }, 'done next open open waits'],
  ])('%s', (_, progress, expected) => {
    expect(marks(progress)).toBe(expected);
  });

  it('name what is missing, in their order', () => {
    expect(missing(NOTHING)).toEqual(['apply', 'handbook', 'quiz', 'agreement']);
    expect(missing({ ...NOTHING, applied: true, quizPassedAt: 1 })).toEqual(['handbook', 'agreement']);
    expect(missing({ ...NOTHING, applied: true, handbook: READ, quizPassedAt: 1, agreed: true })).toEqual([]);
  });

  it('are rows with a word and a shape each; the handbook leads on to its next page', () => {
    const rows = stepRows({ ...NOTHING, applied: true });
    expect(rows.map(({ key, mark, shape, href }) => [key, mark, shape, href])).toEqual([
      ['apply', 'done', 'kept', '/lead/join/apply'],
      ['handbook', 'next', 'on-course', '/handbook/start'],
      ['quiz', 'to do', 'to-do', '/lead/join/quiz'],
      ['agreement', 'to do', 'to-do', '/lead/join/agreement'],
      ['approval', 'waits', 'excused', null],
    ]);
    expect(rows[1]?.words).toBe(`0 of 7 pages read. About ${HANDBOOK_MINUTES} minutes in all.`);
    expect(stepRows({ ...NOTHING, applied: true, handbook: READ })[1]?.words).toBe('All 7 pages read.');
  });
});
