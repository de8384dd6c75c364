import { METRES_PER_MILE, toMetres } from './measure.js';
import { addDays } from './month.js';
import type { PlanWalk, PlanWeek, SeasonPlan } from './plan.js';
import { type DayKind, dayKindOf, isFree } from './plan-calendar.js';

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

const DAYS_OF: Record<DayKind, number[]> = { weekday: [0, 1, 2, 3, 4], saturday: [5], sunday: [6] };

/** The days of a week that walks of a kind may be on, those kept free before the event left out (YYYY-MM-DD). */
export function daysOfKind({ from }: Pick<PlanWeek, 'from'>, kind: DayKind, eventDay: string): string[] {
  return DAYS_OF[kind].map((day) => addDays(from, day)).filter((day) => !isFree(day, eventDay));
}

/** Stored lengths are whole metres: one at a bound may lie half a metre beyond it. */
const ROUNDED_METRES = 0.5;
/** A walk within so much of the plan's length (miles or km) is of that length, as routes go. */
const MEASURED_UNITS = 0.5;

/** How long a walk may be: metres, both ends included. */
export interface Lengths {
  least: number;
  most: number;
}

/**
 * How long a walk may be that counts for one of the plan's: walk pages, timetable and coverage all go by this. The upper end is no more than 110 % of the longest walk that
 * the plan has in the 30 days before (Frandsen et al. 2025, about runners), so that who walks it keeps the plan's own rule; within half a mile or kilometre it is the plan's
 * length, whatever that rule says.
 */
export function bandOf(
  plan: SeasonPlan,
  week: PlanWeek,
  { slot, metres }: Pick<PlanWalk, 'slot' | 'metres'>,
  tolerance = USUAL_TOLERANCE,
): Lengths {
  return lengthsAround(metres, longestBefore(plan, week, slot), tolerance, toMetres(MEASURED_UNITS, plan.wish.units));
}

/** The same from its figures, in metres. @param measured within so much it is the planned length */
export function lengthsAround(planned: number, longest: number, { share, metres }: Tolerance, measured: number): Lengths {
  const off = Math.max(share * planned, metres);
  const most = Math.min(planned + off, Math.max(planned + measured, longestAllowed(longest)));
  return { least: Math.max(0, planned - off) - ROUNDED_METRES, most: most + ROUNDED_METRES };
}

const longestKnown = new WeakMap<SeasonPlan, Map<string, number>>();

/**
 * The longest walk of the plan in the 30 days before a week's days of a kind, metres. What a walker should manage at the start counts as a walk on the day before the plan
 * begins, as in the plan itself. Worked out once for each plan: a page asks for every walk it shows.
 */
function longestBefore(plan: SeasonPlan, week: PlanWeek, kind: DayKind): number {
  const date = addDays(week.from, DAYS_OF[kind][0] ?? 0);
  const known = longestKnown.get(plan) ?? new Map<string, number>();
  longestKnown.set(plan, known);
  const found = known.get(date) ?? longestIn(plan, addDays(date, -LOOK_BACK_DAYS), date);
  known.set(date, found);
  return found;
}

/** @param since first day that counts @param date the day after the last */
function longestIn(plan: SeasonPlan, since: string, date: string): number {
  const before = plan.weeks.flatMap(({ walks }) => walks).filter((walk) => walk.date >= since && walk.date < date);
  const start = addDays(plan.from, -1) >= since ? plan.startMetres : 0;
  return Math.max(start, ...before.map(({ metres }) => metres));
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
    const { least, most } = bandOf(plan, week, one, tolerance);
    return one.slot === kind && walk.metres >= least && walk.metres <= most;
  };
  return week.walks
    .map((one, index) => ({ week, walk: one, index }))
    .filter((slot) => suits(slot.walk))
    .reduce<Slot | null>((nearest, slot) => (nearest && off(nearest.walk) <= off(slot.walk) ? nearest : slot), null);
}
