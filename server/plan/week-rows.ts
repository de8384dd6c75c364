import { addDays } from '../calc/month.js';
import type { PlanWeek, SeasonPlan } from '../calc/plan.js';
import { type DayKind, daysFrom } from '../calc/plan-calendar.js';
import { planLength } from '../calc/plan-grid.js';
import type { GroupSettings } from '../settings/rules.js';
import { dayRange } from '../web/when.js';
import { KIND_WORDS } from './week-words.js';

/** A week as a row of the plan's table; lengths without their unit, which the table's head says. */
export interface WeekRow {
  number: number;
  /** Its Monday: the name of the week in addresses. */
  monday: string;
  dates: string;
  kind: string;
  weekday: string;
  saturday: string;
  sunday: string;
  total: string;
  /** The week that it is now. */
  now: boolean;
}

/** The plan's weeks for a table. Pure. @param today YYYY-MM-DD */
export function weekRows(plan: SeasonPlan, { locale }: Pick<GroupSettings, 'locale'>, today: string): WeekRow[] {
  const { units } = plan.wish;
  const figure = (metres: number) => planLength(metres, units).split(' ')[0] ?? '';
  return plan.weeks.map((week) => ({
    number: week.number,
    monday: week.from,
    dates: dayRange(week.from, week.to, locale),
    kind: KIND_WORDS[week.kind],
    weekday: weekdayFigures(week.walks.filter(({ slot }) => slot === 'weekday').map(({ metres }) => figure(metres))),
    saturday: dayFigure(plan, week, 'saturday', figure),
    sunday: dayFigure(plan, week, 'sunday', figure),
    total: figure(week.metres),
    now: week.from <= today && today <= week.to,
  }));
}

/** "2 × 3.5", held together, or "3 + 4.5", which may be of four and wrap. */
function weekdayFigures(lengths: string[]): string {
  const [first] = lengths;
  if (first === undefined) return '–';
  if (lengths.length > 1 && lengths.every((length) => length === first)) return `${lengths.length}\u00a0×\u00a0${first}`;
  return lengths.join(' + ');
}

const DAY_OF_WEEK = { saturday: 5, sunday: 6 } as const;

function dayFigure(
  { wish }: SeasonPlan,
  { walks, from }: PlanWeek,
  kind: Exclude<DayKind, 'weekday'>,
  figure: (metres: number) => string,
): string {
  const walk = walks.find(({ slot }) => slot === kind);
  if (walk) return figure(walk.metres);
  const sinceEvent = daysFrom(wish.eventDay, addDays(from, DAY_OF_WEEK[kind]));
  return sinceEvent >= 0 && sinceEvent < wish.eventDays ? 'event' : '–';
}
