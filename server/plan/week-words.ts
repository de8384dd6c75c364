import type { PlanWeek, SeasonPlan, WeekKind } from '../calc/plan.js';
import { type DayKind, daysFrom } from '../calc/plan-calendar.js';
import { planLength } from '../calc/plan-grid.js';
import { planWeekOf } from '../calc/plan-slots.js';
import type { GroupSettings } from '../settings/rules.js';
import { dateWords } from '../web/when.js';
import { startWords } from './words.js';

const COUNTS = ['no', 'one', 'two', 'three', 'four'];

/** What a week is among the others, in a word or two; nothing of one that is like most. */
export const KIND_WORDS: Record<WeekKind, string> = {
  build: '',
  lighter: 'lighter',
  peak: 'longest walk',
  taper: 'shorter, to rest',
  event: 'the event',
};

/** "two weekday walks of 3.5 mi, Saturday 10 mi": what a week asks for. */
export function walksWords({ walks }: PlanWeek, { wish }: SeasonPlan): string {
  const of = (slot: DayKind) => walks.filter((walk) => walk.slot === slot).map(({ metres }) => planLength(metres, wish.units));
  const [weekdays, saturday, sunday] = [of('weekday'), of('saturday')[0], of('sunday')[0]];
  const parts = [
    ...(weekdays.length === 0 ? [] : [weekdayWords(weekdays)]),
    ...(saturday === undefined ? [] : [`Saturday ${saturday}`]),
    ...(sunday === undefined ? [] : [`Sunday ${sunday}`]),
  ];
  return parts.length === 0 ? 'no walks' : parts.join(', ');
}

function weekdayWords(lengths: string[]): string {
  const [first] = lengths;
  if (lengths.length === 1) return `one weekday walk of ${first}`;
  if (lengths.every((length) => length === first)) return `${COUNTS[lengths.length]} weekday walks of ${first}`;
  return `weekday walks of ${lengths.slice(0, -1).join(', ')} and ${lengths.at(-1)}`;
}

/** "2 days of 22 mi each" */
export function eventWords({ eventDays, dayMetres, units }: SeasonPlan['wish']): string {
  const length = planLength(dayMetres, units);
  return eventDays === 1 ? `one day of ${length}` : `${eventDays} days of ${length} each`;
}

/** Where a day lies in the season, in words. */
export interface PlanNow {
  /** Its week; null before the season and after it. */
  week: PlanWeek | null;
  isOver: boolean;
  /** "This week of the plan: week 9 of 16" */
  heading: string;
  /** Whole sentences. */
  words: string;
}

/** What the plan asks for this week, or when it begins, or that it is over. Pure. @param today YYYY-MM-DD */
export function planNow(plan: SeasonPlan, today: string, { locale }: Pick<GroupSettings, 'locale'>): PlanNow {
  const week = planWeekOf(plan, today);
  if (week === 'before') {
    const [first] = plan.weeks;
    const walks = first ? ` Its first week: ${walksWords(first, plan)}.` : '';
    return {
      week: null,
      isOver: false,
      heading: `The plan begins on ${dateWords(plan.from, locale)}, ${awayWords(daysFrom(today, plan.from))}`,
      words: `${startWords(plan)}${walks}`,
    };
  }
  if (week === 'after') {
    return {
      week: null,
      isOver: true,
      heading: 'The season is over',
      words: `The event began on ${dateWords(plan.wish.eventDay, locale)}.`,
    };
  }
  return {
    week,
    isOver: false,
    heading: `This week of the plan: week ${week.number} of ${plan.weeks.length}`,
    words: capital(`${walksWords(week, plan)}. ${weekWords(week, plan, locale)}`.trim()),
  };
}

function awayWords(days: number): string {
  if (days === 1) return 'tomorrow';
  return days < 14 ? `in ${days} days` : `in ${Math.floor(days / 7)} weeks`;
}

/** A sentence about what kind of week it is; "" about most. */
function weekWords({ kind }: PlanWeek, { wish }: SeasonPlan, locale: string): string {
  if (kind === 'event') return `Then the event: ${eventWords(wish)}, from ${dateWords(wish.eventDay, locale)}.`;
  return {
    build: '',
    lighter: 'A lighter week.',
    peak: 'The longest walk of the season.',
    taper: 'Shorter walks now, to be rested for the event.',
  }[kind];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
