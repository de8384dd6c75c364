import type { PlanWeek, SeasonPlan } from '../calc/plan.js';
import type { DayKind } from '../calc/plan-calendar.js';
import { planLength } from '../calc/plan-grid.js';
import { bandOf, daysOfKind, type Slot, slotOf, type Tolerance } from '../calc/plan-slots.js';
import type { GroupSettings } from '../settings/rules.js';

type ToleranceSettings = Pick<GroupSettings, 'slotToleranceShare' | 'slotToleranceMetres'>;

/** How far from the plan a walk's length may be, as the group has it. */
export function toleranceOf({ slotToleranceShare, slotToleranceMetres }: ToleranceSettings): Tolerance {
  return { share: slotToleranceShare, metres: slotToleranceMetres };
}

/** What of a walk tells whether it suits the plan: its day is the date by its own zone's clock. */
interface Fitting {
  wallDate: string;
  distanceMetres: number;
}

/** The walk of the plan that a walk suits; null where it suits none. Pure. */
export function slotFor(plan: SeasonPlan | null, { wallDate, distanceMetres }: Fitting, settings: ToleranceSettings): Slot | null {
  return plan && slotOf(plan, { date: wallDate, metres: distanceMetres }, toleranceOf(settings));
}

export const SLOT_WORDS: Record<DayKind, string> = { weekday: 'a weekday walk', saturday: 'the long Saturday', sunday: 'the Sunday walk' };

/** "week 9 of the season plan: the long Saturday (planned 10 mi)" */
export function slotWords({ week, walk }: Slot, { wish }: SeasonPlan): string {
  return `week ${week.number} of the season plan: ${SLOT_WORDS[walk.slot]} (planned ${planLength(walk.metres, wish.units)})`;
}

/** Days and lengths of which a walk must have one of each to suit a week: both ends included. */
export interface Band {
  from: string;
  to: string;
  leastMetres: number;
  mostMetres: number;
}

/** What walks suit a week, for a query; the same walks that `slotFor` finds. Pure. */
export function bandsOf(week: PlanWeek, plan: SeasonPlan, settings: ToleranceSettings): Band[] {
  return week.walks.map((walk) => {
    const { least, most } = bandOf(plan, week, walk, toleranceOf(settings));
    const days = daysOfKind(week, walk.slot, plan.wish.eventDay);
    return { from: days[0] ?? walk.date, to: days.at(-1) ?? walk.date, leastMetres: least, mostMetres: most };
  });
}
