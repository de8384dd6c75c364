import { checkAssignment } from '../../server/calc/assign-check.js';
import { assignmentModel, readSolution } from '../../server/calc/assign-model.js';
import { explain } from '../../server/calc/assign-reasons.js';
import { loadHighs } from '../../server/coverage/highs.js';
import { solveLevels } from '../../server/coverage/levels.js';
import type { AssignmentSolver } from '../../server/coverage/solve.js';

/** The same programme by the same solver, in this process: starting another one costs a test a second. */
export const solverHere: AssignmentSolver = {
  async solve(input) {
    const model = assignmentModel(input);
    const steps = model.candidates.length > 0 ? [...solveLevels(await loadHighs(), model, () => 60_000)] : [];
    const last = steps.at(-1);
    const pairs = readSolution(model, last?.values ?? [], input.rules);
    const { faults, objective } = checkAssignment(input, pairs);
    if (faults.length > 0) throw new Error(faults.join('; '));
    const status = last === undefined ? 'nothing to do' : last.isOptimal ? 'optimal' : 'time limit';
    return { status, pairs, objective, bound: last?.bound ?? {}, seconds: 0, ...explain(input, model.candidates, pairs) };
  },
  close: () => Promise.resolve(),
};
