import { addDays } from '../calc/month.js';
import type { PlanWeek, SeasonPlan } from '../calc/plan.js';
import type { DayKind } from '../calc/plan-calendar.js';
import { bandOf, daysOfKind, type Lengths, type Tolerance } from '../calc/plan-slots.js';

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
  /** How long a walk may be that counts for one of them. */
  lengthsFor: (metres: number, tolerance: Tolerance) => Lengths;
}

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
  const days = daysOfKind(week, kind, plan.wish.eventDay);
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
      lengthsFor: (metres, tolerance) => bandOf(plan, week, { slot: kind, metres }, tolerance),
    },
  ];
}
