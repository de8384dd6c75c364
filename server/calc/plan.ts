import { toMetres, type Units } from './measure.js';
import { addDays } from './month.js';
import { type Calendar, calendarOf, type DayKind, isFree, weekdayDates } from './plan-calendar.js';
import { metresOf, stepsOf } from './plan-grid.js';
import { buildUp, isLighter, type Load, taperOff } from './plan-load.js';

/** What a group trains for, and how. */
export interface SeasonWish {
  /** First day of the event, YYYY-MM-DD. */
  eventDay: string;
  eventDays: number;
  /** Length of one day of the event, metres. */
  dayMetres: number;
  /** How many weeks people train, the event's own among them. */
  weeks: number;
  /** Walks from Monday to Friday, each week. */
  weekdayWalks: number;
  /** What lengths are round in. */
  units: Units;
}

/** What can be wished for; the length of a day in miles or kilometres. */
export const WISH_BOUNDS = {
  eventDay: { least: '2000-01-01', most: '2199-12-31' },
  eventDays: { least: 1, most: 30 },
  weeks: { least: 8, most: 36 },
  weekdayWalks: { least: 0, most: 4 },
  day: { mi: { least: 5, most: 40 }, km: { least: 5, most: 65 } },
} as const;

export type WeekKind = 'build' | 'lighter' | 'peak' | 'taper' | 'event';

export interface PlanWalk {
  slot: DayKind;
  /** YYYY-MM-DD; of a weekday walk a suggestion, any day from Monday to Friday will do. */
  date: string;
  /** Unrounded, so that it is exactly a round figure in the group's unit. */
  metres: number;
}

export interface PlanWeek {
  /** From 1. */
  number: number;
  /** Its Monday and its Sunday; the event's week lasts until the event is over. */
  from: string;
  to: string;
  kind: WeekKind;
  /** In the order of their dates. */
  walks: PlanWalk[];
  /** All of them together; the event itself is not counted. */
  metres: number;
}

export interface SeasonPlan {
  wish: SeasonWish;
  /** First and last day; the last is the event's, or the Sunday after it. */
  from: string;
  to: string;
  weeks: PlanWeek[];
  /** What a walker should manage before the first walk: it counts as the longest of the 30 days before. */
  startMetres: number;
  /** All walks of the season together. */
  metres: number;
}

/**
 * A season's walks, week by week: weekday walks, a long Saturday, and for an event of several days a Sunday after it from the middle of the build-up on.
 * - No walk is more than 10 % longer than the longest of the 30 days before it: Frandsen et al., Br J Sports Med 2025;59:1203, about runners (no study
 *   of walkers was found). Few weeks therefore ask for more at the start: `startMetres`.
 * - Every fourth week is lighter by 20 to 30 %, the longest walk is 80 to 90 % of a day of the event, 18 to 24 days before it: common practice, no source.
 * - Then two or three weeks with 41 to 60 % less and as many walks: Bosquet et al. 2007; up to 21 days, Wang et al. 2023.
 * The day before the event is free. @throws RangeError for what is outside `WISH_BOUNDS`
 */
export function seasonPlan(wish: SeasonWish): SeasonPlan {
  checkWish(wish);
  const calendar = calendarOf(wish);
  const { start, loads } = buildUp(stepsOf(wish.dayMetres, wish.units), calendar.peakWeek, wish);
  const taper = taperOff(loads, wish.weeks - 1 - calendar.peakWeek);
  // The event's own week goes on as the taper ended, until the day before the event.
  const all = [...loads, ...taper, ...taper.slice(-1)];
  const weeks = all.map((load, index) => weekOf(load, index + 1, calendar, wish));
  return planOf(wish, weeks, metresOf(start, wish.units));
}

function checkWish(wish: SeasonWish): void {
  if (!canBeWished(wish)) throw new RangeError('a season plan was wished for that is outside its bounds');
}

/** Whether a plan can be worked out for this: all of it is within `WISH_BOUNDS`. */
export function canBeWished(wish: SeasonWish): boolean {
  const { eventDay, eventDays, weeks, weekdayWalks, day } = WISH_BOUNDS;
  const within = (value: number, { least, most }: { least: number; most: number }) => value >= least && value <= most;
  const whole = [wish.eventDays, wish.weeks, wish.weekdayWalks].every(Number.isInteger);
  const counts = within(wish.eventDays, eventDays) && within(wish.weeks, weeks) && within(wish.weekdayWalks, weekdayWalks);
  const { least, most } = day[wish.units];
  // A length kept in whole metres may be half of one short.
  const length = within(Math.round(wish.dayMetres), { least: toMetres(least, wish.units), most: toMetres(most, wish.units) });
  return whole && counts && length && wish.eventDay >= eventDay.least && wish.eventDay <= eventDay.most;
}

function weekOf(load: Load, number: number, { mondays, eventDay, lastDay, peakWeek }: Calendar, { units }: SeasonWish): PlanWeek {
  const from = mondays[number - 1] as string;
  const sunday = addDays(from, 6);
  const walks: PlanWalk[] = weekdayDates(from, load.weekdays, eventDay).map((date) => ({
    slot: 'weekday',
    date,
    metres: metresOf(load.weekday, units),
  }));
  walks.push({ slot: 'saturday', date: addDays(from, 5), metres: metresOf(load.saturday, units) });
  walks.push({ slot: 'sunday', date: sunday, metres: metresOf(load.sunday, units) });
  const isLast = number === mondays.length;
  return weekWith(
    { number, from, to: isLast && lastDay > sunday ? lastDay : sunday, kind: isLast ? 'event' : kindOf(number, peakWeek) },
    walks.filter(({ date, metres }) => metres > 0 && !isFree(date, eventDay)),
  );
}

function kindOf(week: number, peakWeek: number): WeekKind {
  if (week === peakWeek) return 'peak';
  if (week > peakWeek) return 'taper';
  return isLighter(week, peakWeek) ? 'lighter' : 'build';
}

/** A week with these walks, and what they come to. */
export function weekWith(week: Omit<PlanWeek, 'walks' | 'metres'>, walks: PlanWalk[]): PlanWeek {
  return { ...week, walks, metres: walks.reduce((sum, { metres }) => sum + metres, 0) };
}

/** The plan of these weeks, and what they come to. */
export function planOf(wish: SeasonWish, weeks: PlanWeek[], startMetres: number): SeasonPlan {
  const [first, last] = [weeks[0] as PlanWeek, weeks[weeks.length - 1] as PlanWeek];
  return { wish, from: first.from, to: last.to, weeks, startMetres, metres: weeks.reduce((sum, { metres }) => sum + metres, 0) };
}
