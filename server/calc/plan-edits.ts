import { addDays } from './month.js';
import { type PlanWalk, type PlanWeek, planOf, type SeasonPlan, weekWith } from './plan.js';
import { isFree, weekdayDates } from './plan-calendar.js';
import { findingsOf, type PlanFinding } from './plan-findings.js';

/** A week's walks as someone set them, instead of the plan's own; metres. What has no length is dropped. */
export interface WeekEdit {
  /** The number of the week. */
  week: number;
  /** One for each weekday walk; four at most. */
  weekday: number[];
  saturday: number | null;
  sunday: number | null;
}

/** The plan with these weeks instead of its own, and what is to be thought about in it. No other week changes; of two edits of a week the later counts. */
export function withEdits(plan: SeasonPlan, edits: WeekEdit[]): { plan: SeasonPlan; findings: PlanFinding[] } {
  const byWeek = new Map(edits.map((edit) => [edit.week, edit]));
  const left = [...byWeek.values()].flatMap((edit) => leftOut(plan, edit));
  const weeks = plan.weeks.map((week) => {
    const edit = byWeek.get(week.number);
    return edit ? weekWith(week, walksOf(week, edit, plan.wish.eventDay)) : week;
  });
  const edited = planOf(plan.wish, weeks, plan.startMetres);
  return { plan: edited, findings: [...findingsOf(edited), ...left] };
}

function walksOf(week: PlanWeek, edit: WeekEdit, eventDay: string): PlanWalk[] {
  const lengths = edit.weekday.filter((metres) => metres > 0);
  const dates = weekdayDates(week.from, lengths.length, eventDay);
  const walks: PlanWalk[] = dates.map((date, index) => ({ slot: 'weekday', date, metres: lengths[index] ?? 0 }));
  walks.push({ slot: 'saturday', date: addDays(week.from, 5), metres: edit.saturday ?? 0 });
  walks.push({ slot: 'sunday', date: addDays(week.from, 6), metres: edit.sunday ?? 0 });
  return walks.filter(({ date, metres }) => metres > 0 && !isFree(date, eventDay));
}

/** What of an edit has no place in the plan: it was made for a longer season, or for another first day of the event. */
function leftOut(plan: SeasonPlan, edit: WeekEdit): PlanFinding[] {
  const week = plan.weeks.find(({ number }) => number === edit.week);
  if (!week) {
    return [{ week: edit.week, kind: 'left out', words: `The plan has no week ${edit.week} any more: what was set for it is left out.` }];
  }
  const wanted = [...edit.weekday, edit.saturday ?? 0, edit.sunday ?? 0].filter((metres) => metres > 0).length;
  if (walksOf(week, edit, plan.wish.eventDay).length === wanted) return [];
  const words = `Week ${edit.week}: the event and the day before it are kept free, so a walk set for them is left out.`;
  return [{ week: edit.week, kind: 'left out', words }];
}
