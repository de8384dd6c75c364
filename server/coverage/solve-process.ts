import type { AssignInput } from '../calc/assign.js';
import { assignmentModel, readSolution } from '../calc/assign-model.js';
import { explain } from '../calc/assign-reasons.js';
import { loadHighs } from './highs.js';
import { solveLevels } from './levels.js';
import type { Found, Task, Told } from './solve.js';

/** One task, then the process ends: each has a solver of its own, and its memory goes with it. */
async function work({ input, timeLimitMs }: Task): Promise<void> {
  const until = performance.now() + timeLimitMs;
  const model = assignmentModel(input);
  const found = (status: Found['status'], values: number[], bound: Found['bound']): Found => {
    const pairs = readSolution(model, values, input.rules);
    return { status, pairs, bound: ofGapsLeft(bound, input), ...explain(input, model.candidates, pairs) };
  };
  if (model.candidates.length === 0) return tell(found('nothing to do', [], {}));
  for (const { isOptimal, values, bound } of solveLevels(await loadHighs(), model, () => until - performance.now())) {
    await tell(found(isOptimal ? 'optimal' : 'time limit', values, bound));
  }
}

/** The programme counts the weight it fills, a proposal what it leaves. */
function ofGapsLeft(bound: Found['bound'], { gaps }: AssignInput): Found['bound'] {
  if (bound.missed === undefined) return bound;
  return { ...bound, missed: gaps.reduce((sum, gap) => sum + gap.weight, bound.missed) };
}

function tell(told: Told): Promise<void> {
  return new Promise((sent) => process.send?.(told, () => sent()));
}

process.once('message', (task: Task) => {
  void work(task)
    .catch((error: unknown) => tell({ broke: error instanceof Error ? (error.stack ?? error.message) : String(error) }))
    .finally(() => process.disconnect());
});
