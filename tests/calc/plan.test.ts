import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { toMetres } from '../../server/calc/measure.js';
import { addDays } from '../../server/calc/month.js';
import { type SeasonPlan, seasonPlan } from '../../server/calc/plan.js';
import { daysFrom, weekdayOf } from '../../server/calc/plan-calendar.js';
import { stepsOf } from '../../server/calc/plan-grid.js';
import { buildUp, stepsIn as loadSteps, taperOff, usualBefore } from '../../server/calc/plan-load.js';
import { anyWish, miles, stepsIn, walksOf, wish } from './plans.js';

const RUNS = { numRuns: 300 };
const always = (holds: (plan: SeasonPlan) => void) =>
  fc.assert(
    fc.property(anyWish, (one) => holds(seasonPlan(one))),
    RUNS,
  );

describe('any plan that can be wished for', () => {
  it('has no walk above 110 % of the longest of the 30 days before it, wherever weekday walks are laid', () => {
    always((plan) => {
      const { units } = plan.wish;
      const walks = walksOf(plan).map(({ date, metres }) => ({ date, steps: stepsIn(metres, units) }));
      const known = [{ date: addDays(plan.from, -1), steps: stepsIn(plan.startMetres, units) }, ...walks];
      for (const week of plan.weeks) {
        for (const walk of week.walks) {
          const [first, last] = walk.slot === 'weekday' ? [week.from, addDays(week.from, 4)] : [walk.date, walk.date];
          const since = addDays(last, -30);
          const longest = Math.max(...known.filter(({ date }) => date >= since && date < first).map(({ steps }) => steps));
          // Whole numbers: exact, without any allowance.
          expect(10 * stepsIn(walk.metres, units)).toBeLessThanOrEqual(11 * longest);
        }
      }
    });
  });

  it('has every fourth week lighter by 20 to 30 %, with as many walks', () => {
    always(({ weeks }) => {
      const lighter = weeks.filter(({ kind }) => kind === 'lighter').map(({ number }) => number);
      const peak = weeks.findIndex(({ kind }) => kind === 'peak') + 1;
      expect(lighter[0]).toBe(peak % 4 === 0 ? 3 : 4);
      expect(lighter).toEqual(lighter.map((_, index) => (lighter[0] as number) + 4 * index));
      expect(peak - (lighter[lighter.length - 1] as number)).toBeLessThan(4);
      for (const number of lighter) {
        const [before, week] = [weeks[number - 2], weeks[number - 1]];
        const share = (week?.metres ?? 0) / (before?.metres ?? 0);
        expect(share).toBeGreaterThanOrEqual(0.7 - 1e-9);
        expect(share).toBeLessThanOrEqual(0.8 + 1e-9);
        expect(week?.walks.length).toBe(before?.walks.length);
      }
    });
  });

  it('has its longest walk, 80 to 90 % of a day of the event, on a Saturday 18 to 24 days before it', () => {
    always((plan) => {
      const longest = Math.max(...walksOf(plan).map(({ metres }) => metres));
      const last = walksOf(plan)
        .filter(({ metres }) => metres === longest)
        .pop();
      const share = longest / plan.wish.dayMetres;
      // A day kept in whole metres may be half of one off.
      expect(share).toBeGreaterThanOrEqual(0.8 - 1e-4);
      expect(share).toBeLessThanOrEqual(0.9 + 1e-4);
      expect(last?.slot).toBe('saturday');
      const days = daysFrom(last?.date ?? '', plan.wish.eventDay);
      expect(days).toBeGreaterThanOrEqual(18);
      expect(days).toBeLessThanOrEqual(24);
      expect(plan.weeks.find(({ kind }) => kind === 'peak')?.walks).toContainEqual(last);
    });
  });

  it('tapers over two or three weeks, by 41 to 60 %, with as many walks', () => {
    always(({ weeks, wish: { eventDay } }) => {
      const peak = weeks.findIndex(({ kind }) => kind === 'peak');
      const taper = weeks.filter(({ kind }) => kind === 'taper');
      const before = weeks.slice(peak - 3, peak + 1).filter(({ kind }) => kind !== 'lighter');
      const mean = (some: typeof weeks) => some.reduce((sum, { metres }) => sum + metres, 0) / some.length;
      expect(before).toHaveLength(3);
      expect([2, 3]).toContain(taper.length);
      const less = 1 - mean(taper) / mean(before);
      expect(less).toBeGreaterThanOrEqual(0.41 - 1e-9);
      expect(less).toBeLessThanOrEqual(0.6 + 1e-9);
      for (const { to, walks } of taper) {
        // The Sunday before a Monday's event is the day before it, which is free.
        const dropped = to === addDays(eventDay, -1) && weeks[peak]?.walks.some(({ slot }) => slot === 'sunday') ? 1 : 0;
        expect(walks.length).toBe((weeks[peak]?.walks.length ?? 0) - dropped);
      }
    });
  });

  it('adds up, week by week and over the season', () => {
    always((plan) => {
      const { units } = plan.wish;
      const steps = (metres: number) => stepsIn(metres, units);
      for (const { walks, metres } of plan.weeks) expect(walks.reduce((sum, walk) => sum + steps(walk.metres), 0)).toBe(steps(metres));
      expect(plan.weeks.reduce((sum, { metres }) => sum + steps(metres), 0)).toBe(steps(plan.metres));
    });
  });

  it('has round lengths: half miles or whole kilometres, finer only below five miles or ten kilometres', () => {
    always((plan) => {
      for (const metres of [plan.startMetres, ...walksOf(plan).map((walk) => walk.metres)]) {
        const steps = stepsIn(metres, plan.wish.units);
        expect(steps).toBeGreaterThan(0);
        if (steps >= 20) expect(steps % 2).toBe(0);
      }
    });
  });

  it('has as many weeks as wished, Monday to Sunday, one after another, each walk on its day; the last holds the event', () => {
    always((plan) => {
      const { eventDay, eventDays, weeks, weekdayWalks } = plan.wish;
      expect(plan.weeks.map(({ number }) => number)).toEqual(Array.from({ length: weeks }, (_, index) => index + 1));
      plan.weeks.forEach(({ from, to, walks, kind }, index) => {
        expect(weekdayOf(from)).toBe(0);
        expect(from).toBe(addDays(plan.from, 7 * index));
        if (index < weeks - 1) expect(to).toBe(addDays(from, 6));
        expect(kind === 'event').toBe(index === weeks - 1);
        expect(walks.map(({ date }) => date)).toEqual([...new Set(walks.map(({ date }) => date))].sort());
        for (const { date, slot } of walks) {
          expect(date >= from && date <= to && date < addDays(eventDay, -1)).toBe(true);
          const day = weekdayOf(date);
          expect(slot).toBe(day === 5 ? 'saturday' : day === 6 ? 'sunday' : 'weekday');
        }
        if (index < weeks - 1) expect(walks.filter(({ slot }) => slot === 'weekday')).toHaveLength(weekdayWalks);
      });
      const last = plan.weeks[weeks - 1];
      expect(last && last.from <= eventDay && eventDay <= addDays(last.from, 6)).toBe(true);
      expect(plan.to >= addDays(eventDay, eventDays - 1)).toBe(true);
    });
  });

  it('has a Sunday in the weeks before the longest walk, where the event has a second day, and none where it has not', () => {
    always(({ weeks, wish: { eventDays } }) => {
      const sundays = weeks.map(({ walks }) => walks.some(({ slot }) => slot === 'sunday'));
      const peak = weeks.findIndex(({ kind }) => kind === 'peak');
      for (let index = peak - 3; index <= peak; index += 1)
        if (weeks[index]?.kind !== 'lighter') expect(sundays[index]).toBe(eventDays > 1);
      expect(sundays.indexOf(true) === -1).toBe(eventDays === 1);
    });
  });

  it('never asks for more at the start where there are more weeks', () => {
    fc.assert(
      fc.property(anyWish, (one) => {
        const longer = { ...one, weeks: Math.min(36, one.weeks + 4) };
        expect(seasonPlan(longer).startMetres).toBeLessThanOrEqual(seasonPlan(one).startMetres);
      }),
      RUNS,
    );
  });
});

it('every build-up there can be has its lighter weeks and its taper within bounds', () => {
  let count = 0;
  for (const units of ['mi', 'km'] as const) {
    for (let day = 5; day <= (units === 'mi' ? 40 : 65); day += 0.5) {
      for (let peakWeek = 4; peakWeek <= 33; peakWeek += 1) {
        for (const [weekdayWalks, eventDays] of [0, 1, 2, 3, 4].flatMap((walks) => [[walks, 1] as const, [walks, 2] as const])) {
          const { loads } = buildUp(stepsOf(toMetres(day, units), units), peakWeek, { eventDays, weekdayWalks, units });
          // One that has no such week throws.
          const usual = usualBefore(loads.map(loadSteps));
          const shares = [...taperOff(loads, 2), ...taperOff(loads, 3)].map((load) => loadSteps(load) / usual);
          count += shares.filter((share) => share >= 0.4 && share <= 0.59).length;
        }
      }
    }
  }
  expect(count).toBe((71 + 121) * 30 * 10 * 5);
});

describe('the start', () => {
  it.each([
    [8, 13.5],
    [16, 9],
    [24, 6],
    [36, 3.25],
  ])('%i weeks for 22 miles ask for %d', (weeks, start) => {
    expect(seasonPlan(wish({ weeks })).startMetres).toBe(miles(start));
  });

  it('is never below three miles or five kilometres, unless the longest walk is', () => {
    expect(seasonPlan(wish({ weeks: 36, dayMetres: miles(10) })).startMetres).toBe(miles(3));
    expect(seasonPlan(wish({ weeks: 36, dayMetres: 12_000, units: 'km' })).startMetres).toBe(5000);
    expect(seasonPlan(wish({ weeks: 36, dayMetres: 5000, units: 'km' })).startMetres).toBe(4500);
  });
});

describe('what is outside the bounds is refused, what is on them is not', () => {
  it.each([
    [{ weeks: 8 }, { weeks: 7 }],
    [{ weeks: 36 }, { weeks: 37 }],
    [{ eventDays: 1 }, { eventDays: 0 }],
    [{ eventDays: 30 }, { eventDays: 31 }],
    [{ weekdayWalks: 0 }, { weekdayWalks: -1 }],
    [{ weekdayWalks: 4 }, { weekdayWalks: 5 }],
    [{ dayMetres: 8047 }, { dayMetres: 8046 }],
    [{ dayMetres: 64_374 }, { dayMetres: 64_375 }],
    [{ weeks: 16 }, { weeks: 16.5 }],
    [{ dayMetres: 9000 }, { dayMetres: Number.NaN }],
  ])('%o, %o', (inside, outside) => {
    expect(() => seasonPlan(wish(inside))).not.toThrow();
    expect(() => seasonPlan(wish(outside))).toThrow(RangeError);
  });
});
