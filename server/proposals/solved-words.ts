import type { AssignInput } from '../calc/assign.js';
import type { Solution } from '../coverage/solve.js';

/** How good a proposal is, in a sentence. */
export interface SolvedWords {
  /** It is less than it should be. */
  caution: boolean;
  sentence: string;
}

const FAILED: Record<'broke' | 'busy' | 'stopping', string> = {
  broke:
    'The proposals could not be worked out. The fault is ours and is written down. The walks that are missing are below, each with the leaders who could lead it.',
  busy: 'Other proposals are being worked out. Try again in a moment. The walks that are missing are below, each with the leaders who could lead it.',
  stopping: 'The service is about to start anew. Try again in a moment.',
};

/** What a coordinator is told of a solution; null where there was nothing to choose. Pure. */
export function solvedWords(solution: Solution, { gaps }: AssignInput): SolvedWords | null {
  if (solution.status === 'failed') return { caution: true, sentence: FAILED[solution.why] };
  if (solution.status === 'nothing to do') return null;
  if (solution.status === 'optimal')
    return {
      caution: false,
      sentence: 'Proven best: by your rules, no other choice fills more of the urgent walks or is fairer to the leaders.',
    };
  const all = gaps.reduce((sum, { weight }) => sum + weight, 0);
  const share = (missed: number) => Math.round(((all - missed) / all) * 100);
  const [reached, bound] = [share(solution.objective.missed), share(solution.bound.missed ?? 0)];
  return {
    caution: true,
    sentence: `Best found in ${Math.round(solution.seconds)} seconds: it fills ${reached} of 100 by urgency, and none can fill more than ${bound}. Ask for fewer months, or one area, for a proven best.`,
  };
}
