/** What leads to leading walks, in the order in which it is shown; all but the first and the last may be done in any order. */
export const STEPS = ['apply', 'handbook', 'quiz', 'agreement', 'approval'] as const;
export type StepKey = (typeof STEPS)[number];

/** What is known of someone on their way to leading. */
export interface Progress {
  /** They have an open application. */
  applied: boolean;
  /** `next`: the name in the address of the first page that they have not read. */
  handbook: { read: number; of: number; next: string | null };
  /** ms; null where they have not. */
  quizPassedAt: number | null;
  /** Their signature of the leader's agreement holds now. */
  agreed: boolean;
  /** The name in which it was signed, where that is not the one they apply with; else null. */
  otherName: string | null;
}

export interface Step {
  key: StepKey;
  /** `waits`: it is somebody else's turn. */
  state: 'done' | 'open' | 'waits';
  /** The one to do next. */
  next: boolean;
}

/** Where someone stands. Before they apply nothing else is theirs to do; approval waits until all the rest is done. Pure. */
export function steps(progress: Progress): Step[] {
  const { applied, handbook, quizPassedAt, agreed } = progress;
  const done: Record<StepKey, boolean> = {
    apply: applied,
    handbook: handbook.read >= handbook.of,
    quiz: quizPassedAt !== null,
    agreement: agreed,
    approval: false,
  };
  const next = STEPS.find((key) => key !== 'approval' && !done[key]);
  return STEPS.map((key) => ({
    key,
    state: done[key] ? 'done' : key === 'approval' || (key !== 'apply' && !applied) ? 'waits' : 'open',
    next: key === next,
  }));
}

/** What is still to be done before someone can be approved; empty where they are ready. Pure. */
export function missing(progress: Progress): StepKey[] {
  return steps(progress)
    .filter((step) => step.key !== 'approval' && step.state !== 'done')
    .map((step) => step.key);
}

/** What each step is called within a sentence. */
export const STEP_NAMES: Record<StepKey, string> = {
  apply: 'application',
  handbook: 'handbook',
  quiz: 'quiz',
  agreement: 'agreement',
  approval: 'approval',
};
