import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { monthsFrom } from '../../server/calc/month.js';
import { type SeasonPlan, seasonPlan } from '../../server/calc/plan.js';
import { type CountedWalk, cover, placer } from '../../server/coverage/covered.js';
import { type AreaNeed, type AreaWants, needsOf } from '../../server/coverage/needs-of.js';

export const miles = (count: number) => Math.round(count * METRES_PER_MILE);

/** Sixteen weeks from Monday 22 February 2027 to the event on Saturday 12 June. */
export const PLAN: SeasonPlan = seasonPlan({
  eventDay: '2027-06-12',
  eventDays: 2,
  dayMetres: 22 * METRES_PER_MILE,
  weeks: 16,
  weekdayWalks: 2,
  units: 'mi',
});

export const AREA: AreaWants = {
  id: 3,
  wants: { weekday: 1, saturday: 1, sunday: 1 },
  tolerance: { share: 0.15, metres: 1609 },
  floorWalks: 2,
  addedOn: '2026-01-10',
};

/** An area's needs over months. */
export function needsIn(from: string, months: number, area: Partial<AreaWants> = {}, plan: SeasonPlan | null = PLAN): AreaNeed[] {
  const all = monthsFrom(from, months);
  return needsOf({ ...AREA, ...area }, plan, { from, to: all.at(-1) ?? from, months: all });
}

export function walk(id: number, date: string, length: number, month = date.slice(0, 7)): CountedWalk {
  return { id, date, month, metres: miles(length) };
}

/** The ids of needs with the numbers of the walks that meet them. */
export function metBy(needs: AreaNeed[], walks: CountedWalk[], plan: SeasonPlan | null = PLAN): Record<string, number | null> {
  const { covered } = cover(needs, walks, placer(plan));
  return Object.fromEntries(covered.map((one) => [one.need.id, one.walk?.id ?? null]));
}
