import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import type { AssignInput } from '../../server/calc/assign.js';
import { checkAssignment } from '../../server/calc/assign-check.js';
import { assignmentModel, candidatesOf, LEVELS, type Pair } from '../../server/calc/assign-model.js';
import { loadHighs } from '../../server/coverage/highs.js';
import { solveLevels } from '../../server/coverage/levels.js';
import { gap, input, leader, march, SATURDAY, SUNDAY } from '../calc/assign-around.js';
import { inventedInput } from '../support/proposals.js';
import { byYalps, type Objective, solveHere } from './solving.js';

const TINY = { areas: 2, leaders: 3, gaps: 4, weeks: 1, goesTo: 2 };
const SMALL = { areas: 3, leaders: 6, gaps: 10, weeks: 2, goesTo: 3 };

function isBetter(a: Objective, b: Objective): boolean {
  const level = LEVELS.find((each) => a[each] !== b[each]);
  return level !== undefined && a[level] < b[level];
}

/** The best there is, by trying every leader and day for every gap. */
function byTrying(whole: AssignInput): Objective {
  const candidates = candidatesOf(whole);
  let best = checkAssignment(whole, []).objective;
  const visit = (index: number, pairs: Pair[]): void => {
    const { faults, objective } = checkAssignment(whole, pairs);
    if (faults.length > 0) return;
    if (isBetter(objective, best)) best = objective;
    const of = whole.gaps[index];
    if (!of) return;
    visit(index + 1, pairs);
    for (const one of candidates.filter((other) => other.gap === of)) {
      for (const date of one.dates) visit(index + 1, [...pairs, { leaderId: one.leader.id, gapId: of.id, date }]);
    }
  };
  visit(0, []);
  return best;
}

describe('the programme of proposals', () => {
  beforeAll(async () => {
    await loadHighs();
  });

  it('comes to the best there is, found by trying everything', async () => {
    for (let seed = 1; seed <= 150; seed += 1) {
      const whole = inventedInput(TINY, seed);
      expect((await solveHere(whole)).objective, `seed ${seed}`).toEqual(byTrying(whole));
    }
  }, 30_000);

  it('comes to the same as with another solver, two hundred times, within every rule', async () => {
    for (let seed = 1; seed <= 200; seed += 1) {
      const whole = inventedInput(SMALL, seed);
      const weight = whole.gaps.reduce((sum, one) => sum + one.weight, 0);
      const { objective } = await solveHere(whole);
      const [missed = 0, ...others] = byYalps(assignmentModel(whole));
      expect(Object.values(objective), `seed ${seed}`).toEqual([missed + weight, ...others]);
    }
  }, 60_000);

  it('gives the same pairs in whatever order leaders and gaps come', async () => {
    const whole = inventedInput(SMALL, 7);
    const { pairs } = await solveHere(whole);
    expect(pairs.length).toBeGreaterThan(3);
    const orders = fc.tuple(
      fc.shuffledSubarray([...whole.leaders], { minLength: whole.leaders.length }),
      fc.shuffledSubarray([...whole.gaps], { minLength: whole.gaps.length }),
    );
    await fc.assert(
      fc.asyncProperty(orders, async ([leaders, gaps]) => {
        expect((await solveHere({ ...whole, leaders, gaps })).pairs).toEqual(pairs);
      }),
      { numRuns: 30 },
    );
  });

  it('proves every level: its bound is what it reached', async () => {
    const { steps, objective } = await solveHere(input([leader(1), leader(2)], [gap(1), gap(2)]));
    expect(steps.map(({ isOptimal }) => isOptimal)).toEqual([false, false, false, false, true]);
    expect(steps.at(-1)?.bound).toEqual({ ...objective, missed: -2 });
  });

  /** Five pairs in a ring, each without its neighbours (a month, a weekend, a gap, a day, a gap): the linear programme takes half of each, whole are two. */
  const ring = () => {
    const months = { '2026-01': { pledged: 1, left: 1 }, '2026-02': { pledged: 1, left: 1 } };
    const [friday, saturday, sunday] = ['2026-01-30', '2026-01-31', '2026-02-01'];
    const gaps = [gap('a', { dates: [friday, sunday] }), gap('b', { dates: [saturday] }), gap('c', { dates: [sunday] })];
    return input([leader(1, { months, days: [5, 6, 7] }), leader(2, { months, days: [7] })], gaps, { overPledge: 0 });
  };

  it('branches where the linear programme is not whole', async () => {
    expect(candidatesOf(ring())).toHaveLength(5);
    const { objective, steps } = await solveHere(ring());
    expect(objective).toEqual(byTrying(ring()));
    expect([objective.missed, steps.at(-1)?.isOptimal]).toEqual([1, true]);
  });

  it('has a bound without a proof where the time ends in between', async () => {
    const model = assignmentModel(ring());
    let runs = 0;
    const steps = [
      ...solveLevels(await loadHighs(), model, () => {
        runs += 1;
        return runs === 1 ? 60_000 : 0;
      }),
    ];
    expect(steps).toMatchObject([{ isOptimal: false, bound: { missed: -2 } }]);
  });

  it('has found nothing, and proven nothing, where there is no time', async () => {
    const model = assignmentModel(inventedInput(SMALL, 1));
    const [step, ...others] = [...solveLevels(await loadHighs(), model, () => 0)];
    expect([step?.isOptimal, step?.bound, step?.values.some((value) => value > 0), others]).toEqual([false, {}, false, []]);
  });

  it('keeps the levels that it reached in time', async () => {
    const model = assignmentModel(inventedInput(SMALL, 1));
    let runs = 0;
    const steps = [
      ...solveLevels(await loadHighs(), model, () => {
        runs += 1;
        return runs <= 2 ? 60_000 : 0;
      }),
    ];
    expect(steps.map(({ isOptimal, bound }) => [isOptimal, Object.keys(bound)])).toEqual([
      [false, ['missed']],
      [false, ['missed', 'pledges']],
      [false, ['missed', 'pledges']],
    ]);
    expect(steps[2]?.values).toEqual(steps[1]?.values);
  });
});

describe('a proposal', () => {
  const pairsOf = async (...args: Parameters<typeof input>) =>
    (await solveHere(input(...args))).pairs.map(({ leaderId, gapId, date }) => [leaderId, gapId, date]);

  it('asks nobody who has nothing left', async () => {
    expect(await pairsOf([leader(1, { months: march(-1) })], [gap(1)])).toEqual([]);
    expect(await pairsOf([leader(1, { months: march(-1) }), leader(2, { months: march(0) })], [gap(1)])).toEqual([[2, 1, SATURDAY]]);
  });

  it('gives a leader one of two gaps on a day, the more urgent', async () => {
    expect(await pairsOf([leader(1)], [gap(1), gap(2, { weight: 2 })])).toEqual([[1, 2, SATURDAY]]);
  });

  it('gives a leader one walk a weekend, and two where the group allows it', async () => {
    const weekend = [gap(1), gap(2, { dates: [SUNDAY] })];
    expect(await pairsOf([leader(1)], weekend)).toHaveLength(1);
    expect(await pairsOf([leader(1)], weekend, { oneAWeekend: false })).toEqual([
      [1, 1, SATURDAY],
      [1, 2, SUNDAY],
    ]);
  });

  it('fills two of one week by one leader on days of their own', async () => {
    const days = ['2027-03-09', '2027-03-10'];
    expect(await pairsOf([leader(1)], [gap(1, { dates: days }), gap(2, { dates: days.slice(0, 1) })])).toEqual([
      [1, 1, days[1]],
      [1, 2, days[0]],
    ]);
  });

  it('fills two easy gaps rather than one that is as urgent, and one more urgent than both', async () => {
    const hard = (weight: number) => gap(1, { areaId: 2, weight });
    const leaders = [leader(1, { areaIds: [2], months: march(0) })];
    const days = [gap(2, { dates: ['2027-03-06'] }), hard(1)];
    expect(await pairsOf(leaders, [...days.slice(0, 1), hard(2)])).toEqual([[1, 1, SATURDAY]]);
    expect(await pairsOf([leader(1, { areaIds: [2], months: march(1) })], days)).toHaveLength(2);
  });

  it('goes first to the one with most left of the pledge, though another is nearer', async () => {
    const far = { homeAreaId: 2, areaIds: [1], lat: 1 };
    expect(await pairsOf([leader(1, { months: march(1) }), leader(2, far)], [gap(1)])).toEqual([[2, 1, SATURDAY]]);
  });

  it('then to the one who has led least this season, then the nearer, then the one whose lengths it suits', async () => {
    expect(await pairsOf([leader(1), leader(2, { ledThisSeason: 3 })], [gap(1)])).toEqual([[2, 1, SATURDAY]]);
    expect(await pairsOf([leader(1, { lat: 0.1 }), leader(2)], [gap(1)])).toEqual([[2, 1, SATURDAY]]);
    const wide = leader(1, { shortestMetres: 8000, longestMetres: 30_000 });
    expect(await pairsOf([wide, leader(2, { shortestMetres: 8000, longestMetres: 12_400 })], [gap(1)])).toEqual([[2, 1, SATURDAY]]);
  });

  it('asks two leaders for one walk each beyond the pledge, not one for two', async () => {
    const gaps = [gap(1), gap(2, { dates: ['2027-03-20'] })];
    const pairs = await pairsOf([leader(1, { months: march(0) }), leader(2, { months: march(0), lat: 1 })], gaps, { overPledge: 2 });
    expect(pairs.map(([id]) => id)).toEqual([1, 2]);
  });
});
