import type { Highs } from 'highs';
import { type Constraint, equalTo, lessEq, type Model, solve } from 'yalps';
import type { AssignInput } from '../../server/calc/assign.js';
import { checkAssignment } from '../../server/calc/assign-check.js';
import { type AssignModel, assignmentModel, LEVELS, type Level, type Pair, readSolution } from '../../server/calc/assign-model.js';
import { loadHighs } from '../../server/coverage/highs.js';
import { type Step, solveLevels } from '../../server/coverage/levels.js';

export type Objective = Record<Level, number>;

let highs: Highs | null = null;

/** Solved here, in this process: the pairs, what they come to, and the steps on the way. @throws Error where a rule is broken */
export async function solveHere(input: AssignInput): Promise<{ pairs: Pair[]; objective: Objective; steps: Step[] }> {
  highs ??= await loadHighs();
  const model = assignmentModel(input);
  const steps = model.candidates.length > 0 ? [...solveLevels(highs, model, () => 60_000)] : [];
  const pairs = readSolution(model, steps.at(-1)?.values ?? [], input.rules);
  const { faults, objective } = checkAssignment(input, pairs);
  if (faults.length > 0) throw new Error(faults.join('; '));
  return { pairs, objective, steps };
}

/** The same programme by another solver, which has all columns as whole numbers. */
export function byYalps(programme: AssignModel): number[] {
  const reached: number[] = [];
  for (const level of LEVELS) {
    const solution = solve(yalpsModel(programme, level, reached), { precision: 1e-7, tolerance: 0 });
    if (solution.status !== 'optimal') throw new Error(`yalps: ${solution.status}`);
    // Not −0, which no whole sum is.
    reached.push(Math.round(solution.result) + 0);
  }
  return reached;
}

function yalpsModel({ costs, rows }: AssignModel, level: Level, reached: number[]): Model<number, string> {
  const variables = costs.missed.map((_, column) => {
    const terms: [string, number][] = LEVELS.map((each) => [each, costs[each][column] ?? 0]);
    for (const [index, row] of rows.entries()) {
      const term = row.terms.find(([of]) => of === column);
      if (term) terms.push([`row ${index}`, term[1]]);
    }
    return [column, terms] as const;
  });
  const constraints: [string, Constraint][] = rows.map((row, index) => [
    `row ${index}`,
    row.least === row.most ? equalTo(row.most) : lessEq(row.most),
  ]);
  for (const [index, best] of reached.entries()) constraints.push([LEVELS[index] ?? '', lessEq(best)]);
  return { direction: 'minimize', objective: level, constraints, variables, binaries: true };
}
