import { type Faults, line, type Typed } from '../web/forms.js';
import type { Asked } from './store.js';

/** The form's field of the question at a place of the attempt. */
export function answerField(place: number): string {
  return `q${place}`;
}

/** "Question 3" for a field "q3". */
export function answerLabel(field: string): string {
  return `Question ${field.slice(1)}`;
}

/** Reads the answers to an attempt's questions: by place, which of the question's answers was chosen, counted as in the bank. Pure. */
export function readAnswers(typed: Typed, asked: readonly Asked[]): { chosen: Map<number, number>; faults: Faults } {
  const chosen = new Map<number, number>();
  const faults: Faults = {};
  for (const { place, answerOrder } of asked) {
    const field = answerField(place);
    // What is sent is the place among the answers as they were shown: it gives nothing away.
    const answer = /^[1-9]$/.test(line(typed, field)) ? answerOrder[Number(line(typed, field)) - 1] : undefined;
    if (answer === undefined) faults[field] = 'Choose an answer.';
    else chosen.set(place, answer);
  }
  return { chosen, faults };
}
