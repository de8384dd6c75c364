import { candidatesOf } from '../../server/calc/assign-model.js';
import { matchNeeds } from '../../server/calc/match.js';
import { chances, inventedInput } from '../support/proposals.js';
import { median } from './pages.js';

const SIZE = { areas: 50, leaders: 200, gaps: 300, weeks: 8, goesTo: 23 };
const SEEDS = [1, 2, 3];
const TIME_LIMIT_MS = 60_000;
const AREAS = 50;
const WEEKS = 52;
const WALKS_AN_AREA = 400;
const DAY_KINDS = ['weekday', 'saturday', 'sunday'];

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

/** Median milliseconds to match a year of 50 areas: three needs a week, and 400 walks an area. */
export function matchMillis(): number {
  const chance = chances(1);
  const needs = Array.from({ length: WEEKS * DAY_KINDS.length }, (_, id) => {
    const [week, dayKind = ''] = [Math.floor(id / DAY_KINDS.length), DAY_KINDS[id % DAY_KINDS.length]];
    return { id, week, dayKind, leastMetres: 8000, bestMetres: 10_000 + 100 * week, mostMetres: 18_000 };
  });
  const areas = Array.from({ length: AREAS }, () =>
    Array.from({ length: WALKS_AN_AREA }, (_, id) => {
      const dayKind = DAY_KINDS[id % DAY_KINDS.length] ?? '';
      return { id, week: Math.floor(chance() * WEEKS), dayKind, metres: 5000 + Math.floor(chance() * 15_000) };
    }),
  );
  const times = Array.from({ length: 5 }, () => {
    const start = performance.now();
    for (const walks of areas) matchNeeds(needs, walks);
    return performance.now() - start;
  });
  return median(times);
}
