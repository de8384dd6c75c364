import { addDays } from '../calc/month.js';
import type { PlanWeek, SeasonPlan } from '../calc/plan.js';
import { type DayKind, isFree } from '../calc/plan-calendar.js';
import { LOOK_BACK_DAYS } from '../calc/plan-slots.js';

/** What the plan has in one week on one kind of day: what each area's needs of that week are made from. */
export interface Ask {
  /** The week's Monday, and its last day. */
  week: string;
  last: string;
  kind: DayKind;
  /** YYYY-MM: the one month that it counts for. */
  month: string;
  /** The days a walk for it may be on. */
  days: string[];
  /** The day it is suggested for. */
  day: string;
  /** Metres of the plan's walks of that kind, the longest first. */
  lengths: number[];
  /** The longest walk that the plan has in the 30 days before, metres. */
  longestBefore: number;
}

const DAYS_OF: Record<DayKind, number[]> = { weekday: [0, 1, 2, 3, 4], saturday: [5], sunday: [6] };
const KINDS: DayKind[] = ['weekday', 'saturday', 'sunday'];
const THURSDAY = 3;

const known = new WeakMap<SeasonPlan, Ask[]>();

/**
 * What a plan asks for, week by week. A walk belongs to one month: that of its day. Weekday walks may be on any of five, so they belong to the month
 * of the week's Thursday, in which most of its days lie: the rule by which ISO 8601 gives a week to one year.
 */
export function asksOf(plan: SeasonPlan): Ask[] {
  let asks = known.get(plan);
  if (!asks) {
    asks = plan.weeks.flatMap((week) => KINDS.flatMap((kind) => askOf(plan, week, kind)));
    known.set(plan, asks);
  }
  return asks;
}

function askOf(plan: SeasonPlan, week: PlanWeek, kind: DayKind): Ask[] {
  const walks = week.walks.filter((walk) => walk.slot === kind);
  const days = DAYS_OF[kind].map((day) => addDays(week.from, day)).filter((day) => !isFree(day, plan.wish.eventDay));
  const [first] = walks;
  if (!first || days.length === 0) return [];
  const monthDay = kind === 'weekday' ? addDays(week.from, THURSDAY) : first.date;
  return [
    {
      week: week.from,
      last: week.to,
      kind,
      month: monthDay.slice(0, 7),
      days,
      day: first.date,
      lengths: walks.map(({ metres }) => metres).sort((a, b) => b - a),
      longestBefore: longestBefore(plan, days[0] ?? first.date),
    },
  ];
}

/** What a walker should manage at the start counts as a walk on the day before the plan begins, as in the plan itself. */
function longestBefore(plan: SeasonPlan, date: string): number {
  const since = addDays(date, -LOOK_BACK_DAYS);
  const before = plan.weeks.flatMap(({ walks }) => walks).filter((walk) => walk.date >= since && walk.date < date);
  const start = addDays(plan.from, -1) >= since ? plan.startMetres : 0;
  return Math.max(start, ...before.map(({ metres }) => metres));
}
