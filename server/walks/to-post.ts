import type { WalkFacts } from './facts.js';

/** What a posted walk must say, and a draft may leave out, with what asks for it. */
const TO_SAY = {
  meetingPoint: 'Say where people gather.',
  landmark: 'Name something exact to stand beside: "the green ticket machine".',
} as const;

export type FactToPost = keyof typeof TO_SAY;

/** What a walk lacks to be posted, in the order of the form, each with the sentence that asks for it; empty where it lacks nothing. Pure. */
export function missingToPost(facts: Pick<WalkFacts, FactToPost>): Partial<Record<FactToPost, string>> {
  return Object.fromEntries(Object.entries(TO_SAY).filter(([name]) => facts[name as FactToPost].trim() === ''));
}

/** Stops a posted walk that lacks something from being written: every form asks before, so that is a mistake in the program. @throws Error */
export function assertMayBePosted(facts: Pick<WalkFacts, FactToPost>): void {
  const missing = Object.keys(missingToPost(facts));
  if (missing.length > 0) throw new Error(`a posted walk must say: ${missing.join(', ')}`);
}
