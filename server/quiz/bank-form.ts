import { handbookPage } from '../handbook/pages.js';
import { type Faults, line, lines, type Typed } from '../web/forms.js';
import type { WrittenQuestion } from './bank-store.js';

export const MOST_ANSWERS = 5;
const LEAST_ANSWERS = 2;
const LONGEST_QUESTION = 300;
const LONGEST_ANSWER = 200;
const LONGEST_EXPLANATION = 800;

/** A question as it was typed. The answers stand in their places, empty ones among them. */
export interface TypedQuestion {
  page: string;
  question: string;
  answers: string[];
  /** "1" to "5", the place of the right one; '' where none was chosen. */
  right: string;
  explanation: string;
}

export const QUESTION_LABELS: Record<string, string> = {
  page: 'Handbook page',
  question: 'Question',
  right: 'Answers',
  explanation: 'Explanation',
  ...Object.fromEntries(Array.from({ length: MOST_ANSWERS }, (_, index) => [`answer${index + 1}`, `Answer ${index + 1}`])),
};

export function typedQuestion(typed: Typed): TypedQuestion {
  return {
    page: line(typed, 'page'),
    question: line(typed, 'question'),
    answers: Array.from({ length: MOST_ANSWERS }, (_, index) => line(typed, `answer${index + 1}`)),
    right: line(typed, 'right'),
    explanation: lines(typed, 'explanation'),
  };
}

/** A kept question as the form shows it. */
export function asTyped({ page, question, answers, rightAnswer, explanation }: WrittenQuestion): TypedQuestion {
  const places = Array.from({ length: MOST_ANSWERS }, (_, index) => answers[index] ?? '');
  return { page, question, answers: places, right: String(rightAnswer + 1), explanation };
}

/** A typed question as it is kept, or what of it needs mending. Pure. */
export function readQuestion(typed: TypedQuestion): { question: WrittenQuestion } | { faults: Faults } {
  const faults: Faults = {};
  const { page, question, explanation } = typed;
  if (!handbookPage(page)) faults.page = 'Choose the page that the answer is on.';
  if (!/\p{L}/u.test(question)) faults.question = 'Type the question.';
  else if (question.length > LONGEST_QUESTION) faults.question = `Keep it to ${LONGEST_QUESTION} characters.`;
  for (const [index, answer] of typed.answers.entries())
    if (answer.length > LONGEST_ANSWER) faults[`answer${index + 1}`] = `Keep it to ${LONGEST_ANSWER} characters.`;
  const filled = [...typed.answers.entries()].filter(([, answer]) => answer !== '');
  const right = filled.findIndex(([index]) => String(index + 1) === typed.right);
  if (filled.length < LEAST_ANSWERS) faults.right = `Type at least ${LEAST_ANSWERS} answers.`;
  else if (new Set(filled.map(([, answer]) => answer.toLowerCase())).size < filled.length) faults.right = 'Two answers are the same.';
  else if (right === -1) faults.right = 'Choose which answer is right, one that is not empty.';
  if (!/\p{L}/u.test(explanation)) faults.explanation = 'Type why: whoever answers wrongly reads it.';
  else if (explanation.length > LONGEST_EXPLANATION) faults.explanation = `Keep it to ${LONGEST_EXPLANATION} characters.`;
  if (Object.keys(faults).length > 0) return { faults };
  return { question: { page, question, answers: filled.map(([, answer]) => answer), rightAnswer: right, explanation } };
}
