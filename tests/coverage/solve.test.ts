import { afterEach, describe, expect, it } from 'vitest';
import { checkAssignment } from '../../server/calc/assign-check.js';
import { type AssignmentSolver, assignmentSolver, type Solution, type Solved, type SolverLimits } from '../../server/coverage/solve.js';
import { gap, input, leader, march } from '../calc/assign-around.js';
import { inventedInput } from '../support/proposals.js';

const LARGE = { areas: 50, leaders: 200, gaps: 300, weeks: 8, goesTo: 23 };
const TIME = { timeLimitMs: 60_000 };

const open: AssignmentSolver[] = [];
const broken: unknown[] = [];
const solver = (set: Partial<SolverLimits> = {}) => {
  const made = assignmentSolver({ onBreak: (error) => broken.push(error), ...set });
  open.push(made);
  return made;
};
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
  broken.splice(0);
});

function good(solution: Solution): Solved {
  if (solution.status === 'failed') throw new Error(solution.why, { cause: broken[0] });
  return solution;
}

describe('solving off the event loop', { timeout: 60_000 }, () => {
  it('gives pairs, reasons, bounds and the time it took', async () => {
    const solution = good(
      await solver().solve(input([leader(1), leader(2, { ledThisSeason: 3 })], [gap('a'), gap('b', { areaId: 9, weight: 3 })]), TIME),
    );
    expect(solution).toMatchObject({
      status: 'optimal',
      pairs: [{ leaderId: 2, gapId: 'a', date: '2027-03-13' }],
      objective: { missed: 3, pledges: -3, season: -1, way: 0, length: 0 },
      bound: { missed: 3, pledges: -3, season: -1, way: 0, length: 0 },
      proposed: [{ gapId: 'a', leader: { leaderId: 2 }, others: [{ leaderId: 1 }] }],
      unfilled: [{ gapId: 'b', why: 'area', others: [] }],
    });
    expect(solution.seconds).toBeGreaterThan(0);
    expect(broken).toEqual([]);
  });

  it('does so compiled, too', async () => {
    const compiled = new URL('../../dist/server/coverage/solve.js', import.meta.url);
    const made = (await import(compiled.href)) as typeof import('../../server/coverage/solve.js');
    const one = made.assignmentSolver();
    open.push(one);
    expect(await one.solve(input([leader(1)], [gap(1)]), TIME)).toMatchObject({ status: 'optimal', pairs: [{ leaderId: 1 }] });
  });

  it('has nothing to do without gaps, without leaders, or where nobody can, and says why', async () => {
    const one = solver();
    expect(await one.solve(input([leader(1)], []), TIME)).toMatchObject({ status: 'nothing to do', pairs: [], unfilled: [] });
    expect(await one.solve(input([], [gap(1)]), TIME)).toMatchObject({ status: 'nothing to do', unfilled: [{ gapId: 1, why: 'area' }] });
    expect(await one.solve(input([leader(1, { months: march(-1) })], [gap(1)]), TIME)).toMatchObject({
      status: 'nothing to do',
      objective: { missed: 1 },
      unfilled: [{ gapId: 1, why: 'pledge' }],
    });
  });

  it('proves the best for two hundred leaders and three hundred gaps, while the event loop goes on', async () => {
    let [ticks, longest, last] = [0, 0, performance.now()];
    const timer = setInterval(() => {
      ticks += 1;
      longest = Math.max(longest, performance.now() - last);
      last = performance.now();
    }, 5);
    const whole = inventedInput(LARGE, 1);
    const solution = good(await solver().solve(whole, TIME));
    clearInterval(timer);
    expect(solution.status).toBe('optimal');
    expect(solution.bound).toEqual(solution.objective);
    expect(checkAssignment(whole, solution.pairs)).toEqual({ faults: [], objective: solution.objective });
    expect(ticks).toBeGreaterThan(20);
    // The process solves for seconds; nothing near that long may happen here.
    expect(longest).toBeLessThan(solution.seconds * 500);
  });

  it('gives the best found, within every rule, when the time is over', async () => {
    const whole = inventedInput(LARGE, 2);
    const solution = good(await solver().solve(whole, { timeLimitMs: 1 }));
    expect(solution.status).toBe('time limit');
    expect(checkAssignment(whole, solution.pairs)).toEqual({ faults: [], objective: solution.objective });
    expect(solution.proposed.length + solution.unfilled.length).toBe(300);
  });

  it('ends a process that goes on past its time and the grace', async () => {
    const none = await solver({ graceMs: -TIME.timeLimitMs }).solve(input([leader(1)], [gap(1)]), TIME);
    expect(none).toEqual({ status: 'failed', why: 'broke' });
    expect(broken).toEqual([expect.objectContaining({ message: 'the process that solves proposals told nothing' })]);
  });

  it('gives an error value where the process breaks, tells the log why, and solves the next', async () => {
    const one = solver();
    const both = [one.solve(input([leader(1)], [gap(1, { dates: ['never'] })]), TIME), one.solve(input([leader(1)], [gap(1)]), TIME)];
    expect(await Promise.all(both)).toMatchObject([{ status: 'failed', why: 'broke' }, { status: 'optimal' }]);
    expect(broken).toEqual([expect.objectContaining({ message: expect.stringContaining('no such date: never') })]);
  });

  it('gives an error value where the memory does not do', async () => {
    expect(await solver({ heapMb: 12 }).solve(inventedInput(LARGE, 1), TIME)).toEqual({ status: 'failed', why: 'broke' });
    expect(broken).toEqual([expect.objectContaining({ message: 'the process that solves proposals ended with SIGABRT' })]);
  });

  it('solves one at a time, in turn, and asks those beyond to come back', async () => {
    const one = solver({ mostWaiting: 1 });
    const done: number[] = [];
    const task = (index: number) => one.solve(input([leader(1)], [gap(index)]), TIME).finally(() => done.push(index));
    const [first, second, third] = await Promise.all([task(0), task(1), task(2)]);
    expect([first?.status, second?.status, third]).toEqual(['optimal', 'optimal', { status: 'failed', why: 'busy' }]);
    expect(done).toEqual([2, 0, 1]);
  });

  it('tells everyone when it is closed', async () => {
    const one = solver();
    const solving = [one.solve(inventedInput(LARGE, 1), TIME), one.solve(input([leader(1)], [gap(1)]), TIME)];
    await one.close();
    const stopping = { status: 'failed', why: 'stopping' };
    expect(await Promise.all([...solving, one.solve(input([], []), TIME)])).toEqual([stopping, stopping, stopping]);
    expect(broken).toEqual([]);
  });
});
