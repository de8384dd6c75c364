import { METRES_PER_MILE } from './measure.js';
import type { PlanWalk, PlanWeek, SeasonPlan } from './plan.js';
import { dayKindOf, isFree } from './plan-calendar.js';

/** The days looked back on for the longest walk (Frandsen et al. 2025). */
export const LOOK_BACK_DAYS = 30;

/** Metres that a next walk may have: 110 % of the longest of the last 30 days (Frandsen et al. 2025, about runners). */
export function longestAllowed(longestOfLast30DaysMetres: number): number {
  return longestOfLast30DaysMetres * 1.1;
}

/** The week of a date, or on which side of the plan it lies. */
export function planWeekOf(plan: SeasonPlan, date: string): PlanWeek | 'before' | 'after' {
  if (date < plan.from) return 'before';
  return plan.weeks.find(({ to }) => date <= to) ?? 'after';
}

/** How far a walk's length may be from the plan's: the larger of a share of it and a distance. */
export interface Tolerance {
  share: number;
  metres: number;
}

/** Common practice, no source. */
export const USUAL_TOLERANCE: Tolerance = { share: 0.15, metres: METRES_PER_MILE };

export interface Slot {
  week: PlanWeek;
  walk: PlanWalk;
  /** Its place among the week's walks. */
  index: number;
}

/** Stored lengths are whole metres: one at a bound may lie half a metre beyond it. */
const ROUNDED_METRES = 0.5;

/** How long a walk may be that suits one of the plan's: metres, both ends included. */
export function bandOf({ metres }: Pick<PlanWalk, 'metres'>, tolerance: Tolerance = USUAL_TOLERANCE): { least: number; most: number } {
  const off = Math.max(tolerance.share * metres, tolerance.metres) + ROUNDED_METRES;
  return { least: metres - off, most: metres + off };
}

/**
 * Which of the plan's walks one of a date and length suits: of that week and kind of day (any from Monday to Friday for a weekday walk), and of about that
 * length; the nearest, where there are several. Null where there is none, outside the plan, and from the day before the event on.
 */
export function slotOf(plan: SeasonPlan, walk: { date: string; metres: number }, tolerance: Tolerance = USUAL_TOLERANCE): Slot | null {
  const week = planWeekOf(plan, walk.date);
  if (week === 'before' || week === 'after' || isFree(walk.date, plan.wish.eventDay)) return null;
  const kind = dayKindOf(walk.date);
  const off = ({ metres }: PlanWalk) => Math.abs(walk.metres - metres);
  const suits = (one: PlanWalk) => {
    const { least, most } = bandOf(one, tolerance);
    return one.slot === kind && walk.metres >= least && walk.metres <= most;
  };
  return week.walks
    .map((one, index) => ({ week, walk: one, index }))
    .filter((slot) => suits(slot.walk))
    .reduce<Slot | null>((nearest, slot) => (nearest && off(nearest.walk) <= off(slot.walk) ? nearest : slot), null);
}
