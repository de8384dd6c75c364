import { AFTER } from './samples/after.js';
import { DAY } from './samples/day.js';
import { HEAT } from './samples/heat.js';
import { INVITING } from './samples/inviting.js';
import { PLANNING } from './samples/planning.js';
import { POSTING } from './samples/posting.js';
import { SAFETY } from './samples/safety.js';

/** A question that comes with the program. */
export interface SampleQuestion {
  question: string;
  /** The first is right; they are shuffled each time they are shown. */
  answers: [right: string, wrong: string, ...more: string[]];
  explanation: string;
}

/** The bank a group starts with, by the handbook page that holds the answer. None is about a figure that the group may change. */
const BY_PAGE: Record<string, SampleQuestion[]> = {
  'planning-a-route': PLANNING,
  'posting-a-walk': POSTING,
  'inviting-people': INVITING,
  'the-day': DAY,
  'safety-and-first-response': SAFETY,
  'hydration-and-heat': HEAT,
  'after-the-walk': AFTER,
};

export const SAMPLE_QUESTIONS = Object.entries(BY_PAGE).flatMap(([page, questions]) => questions.map((one) => ({ page, ...one })));
