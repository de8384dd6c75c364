import { describe, expect, it } from 'vitest';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { seasonPlan } from '../../server/calc/plan.js';
import { logChart } from '../../server/log/chart.js';
import { allowedNext, longestLately, monthsOf, ownWalks, partyWalks, planAsksMore } from '../../server/log/rules.js';
import type { LogLine } from '../../server/log/store.js';

const line = (changed: Partial<LogLine> = {}): LogLine => ({
  walkId: 1,
  name: 'Ana',
  isSelf: true,
  led: false,
  outcome: 'full',
  metres: 10_000,
  wallDate: '2026-11-20',
  gatherAt: 0,
  zone: 'UTC',
  distanceMetres: 10_000,
  routeName: 'Loop',
  locality: 'Mill',
  ...changed,
});

describe('a log', () => {
  it('counts each walk once, the longest that is known of it, and none that they did not come to', () => {
    const lines = [
      line(),
      line({ metres: 4000, led: true }),
      line({ walkId: 2, outcome: 'absent', metres: 0 }),
      line({ walkId: 3, isSelf: false }),
    ];
    expect(ownWalks(lines)).toEqual([line({ led: true })]);
    expect(partyWalks(lines).map(({ walkId }) => walkId)).toEqual([3]);
  });

  it('has every month from the first walk on, twelve at most', () => {
    const walks = [line(), line({ walkId: 2, wallDate: '2026-11-01', metres: 5000 }), line({ walkId: 3, wallDate: '2026-09-30' })];
    expect(monthsOf(walks, '2026-11')).toEqual([
      { month: '2026-09', walks: 1, metres: 10_000, longest: 10_000 },
      { month: '2026-10', walks: 0, metres: 0, longest: 0 },
      { month: '2026-11', walks: 2, metres: 15_000, longest: 10_000 },
    ]);
    const long = monthsOf([line({ wallDate: '2020-01-01' })], '2026-11');
    expect([long.length, long[0]?.month]).toEqual([12, '2025-12']);
    expect(monthsOf([], '2026-11')).toHaveLength(1);
  });

  it('looks back thirty days for the longest, and not one more', () => {
    const walk = line({ wallDate: '2026-10-26' });
    expect(longestLately([walk], '2026-11-25')).toBe(walk);
    expect(longestLately([walk], '2026-11-26')).toBeNull();
    expect(longestLately([line({ wallDate: '2026-11-27' })], '2026-11-26')).toBeNull();
    const far = line({ walkId: 2, metres: 12_000 });
    expect(longestLately([walk, far], '2026-11-25')).toBe(far);
  });

  it('allows 110 % of it, and nothing where nothing is known', () => {
    expect(allowedNext({ metres: 10_000 })).toBeCloseTo(11_000);
    expect(allowedNext(null)).toBeNull();
  });

  const plan = seasonPlan({
    eventDay: '2027-06-12',
    eventDays: 2,
    dayMetres: 22 * METRES_PER_MILE,
    weeks: 24,
    weekdayWalks: 2,
    units: 'mi',
  });

  it('says where the plan asks for more this week: from the first metre beyond', () => {
    const week = plan.weeks[4];
    const saturday = week?.walks.find(({ slot }) => slot === 'saturday');
    if (!week || !saturday) throw new Error('the plan has a fifth week with a Saturday');
    const asked = Math.max(...week.walks.map(({ metres }) => metres));
    expect(planAsksMore(plan, week.from, asked)).toBeNull();
    expect(planAsksMore(plan, week.from, asked - 1)).toBe(asked);
    expect(planAsksMore(plan, week.from, null)).toBeNull();
    expect(planAsksMore(null, week.from, 1)).toBeNull();
    // The Saturday is over on the Sunday.
    expect(planAsksMore(plan, week.to, saturday.metres - 1) ?? 0).toBeLessThan(saturday.metres);
  });

  it('draws a bar for each month with a walk, to scale, and nothing of nothing', () => {
    const units = { units: 'km' as const, locale: 'en-GB' };
    const months = monthsOf([line(), line({ walkId: 2, wallDate: '2026-09-01', metres: 5000 })], '2026-11');
    const chart = logChart(months, units);
    expect(chart?.bars.map(({ width }) => width)).toEqual([122, 244]);
    expect(chart?.text).toBe('Sept 2026: 5.0 km; Oct 2026: 0.0 km; Nov 2026: 10.0 km');
    expect(logChart(monthsOf([], '2026-11'), units)).toBeNull();
  });
});
