import { HANDBOOK_MINUTES } from '../handbook/pages.js';
import { type Progress, STEP_NAMES, type Step, type StepKey, steps } from './steps.js';

/** A step as a page shows it. */
export interface StepRow {
  key: StepKey;
  title: string;
  /** What there is to say of it now. */
  words: string;
  /** "done", "next", "to do", "waits" */
  mark: string;
  /** The class that draws the mark's shape. */
  shape: 'kept' | 'on-course' | 'to-do' | 'excused';
  href: string | null;
}

const TITLES: Record<StepKey, string> = {
  apply: 'Apply',
  handbook: 'Read the handbook',
  quiz: 'Pass the quiz',
  agreement: "Sign the leader's agreement",
  approval: 'Approval',
};

const HREFS: Record<StepKey, string | null> = {
  apply: '/lead/join/apply',
  handbook: '/handbook',
  quiz: '/lead/join/quiz',
  agreement: '/lead/join/agreement',
  approval: null,
};

/** The steps as rows, each with its mark as word and shape. Pure. */
export function stepRows(progress: Progress): StepRow[] {
  const all = steps(progress);
  const left = all.filter((step) => step.key !== 'approval' && step.state !== 'done').length;
  return all.map((step) => ({
    key: step.key,
    title: TITLES[step.key],
    words: wordsOf(step.key, progress, left),
    ...markOf(step),
    href: hrefOf(step, progress),
  }));
}

/** The handbook may be read by anyone; the other steps lead nowhere before they can be taken. */
function hrefOf({ key, state }: Step, { handbook }: Progress): string | null {
  if (key === 'handbook') return handbook.next === null ? HREFS.handbook : `/handbook/${handbook.next}`;
  return state === 'waits' ? null : HREFS[key];
}

/** The same for a coordinator, shorter: what is done and what is not of the steps that are the applicant's own. Pure. */
export function stepMarks(progress: Progress): { name: string; words: string; mark: string; shape: StepRow['shape'] }[] {
  const { read, of } = progress.handbook;
  const { otherName } = progress;
  return steps(progress)
    .filter(({ key }) => key !== 'apply' && key !== 'approval')
    .map(({ key, state }) => ({
      name: STEP_NAMES[key],
      words: key === 'handbook' ? `${read} of ${of} pages` : key === 'agreement' && otherName !== null ? `signed as ${otherName}` : '',
      ...(state === 'done' ? { mark: 'done', shape: 'kept' as const } : { mark: 'to do', shape: 'to-do' as const }),
    }));
}

function markOf({ state, next }: Step): Pick<StepRow, 'mark' | 'shape'> {
  if (state === 'done') return { mark: 'done', shape: 'kept' };
  if (state === 'waits') return { mark: 'waits', shape: 'excused' };
  return next ? { mark: 'next', shape: 'on-course' } : { mark: 'to do', shape: 'to-do' };
}

function wordsOf(key: StepKey, { applied, handbook, otherName }: Progress, left: number): string {
  switch (key) {
    case 'apply':
      return applied ? 'You can change what you wrote until it is decided.' : 'Who you are, where and when you would lead. Ten minutes.';
    case 'handbook':
      return handbook.read < handbook.of
        ? `${handbook.read} of ${handbook.of} pages read. About ${HANDBOOK_MINUTES} minutes in all.`
        : `All ${handbook.of} pages read.`;
    case 'quiz':
      return 'About what the handbook says. As often as you like.';
    case 'agreement':
      return otherName === null ? 'Read it and type your name. Five minutes.' : `Signed as ${otherName}. Sign with your name.`;
    case 'approval':
      return left === 0 && applied
        ? 'All is done. A coordinator looks at it and writes to you.'
        : 'By a coordinator, once the rest is done.';
  }
}
