import { candidatesOf } from '../../server/calc/assign-model.js';
import { inventedInput } from '../support/proposals.js';
import { median } from './pages.js';

const SIZE = { areas: 50, leaders: 200, gaps: 300, weeks: 8, goesTo: 23 };
const SEEDS = [1, 2, 3];
const TIME_LIMIT_MS = 60_000;

/** Median seconds to proven proposals, the start of the process included, as production does it; and how many pairs could be in the first group. */
export async function proposalsSeconds(): Promise<{ seconds: number; pairs: number }> {
  const compiled = new URL('../../dist/server/coverage/solve.js', import.meta.url);
  const { assignmentSolver } = (await import(compiled.href)) as typeof import('../../server/coverage/solve.js');
  const solver = assignmentSolver({
    onBreak: (error) => {
      throw error;
    },
  });
  const seconds: number[] = [];
  for (const seed of SEEDS) {
    const solution = await solver.solve(inventedInput(SIZE, seed), { timeLimitMs: TIME_LIMIT_MS });
    if (solution.status !== 'optimal') throw new Error(`the proposals ended with ${solution.status}`);
    seconds.push(solution.seconds);
  }
  await solver.close();
  return { seconds: median(seconds), pairs: candidatesOf(inventedInput(SIZE, SEEDS[0] ?? 1)).length };
}
