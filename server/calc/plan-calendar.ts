import { addDays } from './month.js';

const DAY_MS = 86_400_000;
const SATURDAY = 5;
const SUNDAY = 6;
/** The longest walk is on the Saturday nearest to three weeks before the event: 18 to 24 days. Common practice, no source. */
const PEAK_DAYS_BEFORE = 21;

/** Days from one date to another; dates have no zone. */
export function daysFrom(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / DAY_MS);
}

/** 0 for Monday to 6 for Sunday. */
export function weekdayOf(date: string): number {
  return (new Date(`${date}T00:00:00Z`).getUTCDay() + 6) % 7;
}

/** Which kind of day a walk is on: what a plan tells apart. */
export type DayKind = 'weekday' | 'saturday' | 'sunday';

export function dayKindOf(date: string): DayKind {
  const day = weekdayOf(date);
  if (day === SATURDAY) return 'saturday';
  return day === SUNDAY ? 'sunday' : 'weekday';
}

/** Where the weeks of a season lie. */
export interface Calendar {
  /** The Monday that each week begins on; the last week holds the event's first day. */
  mondays: string[];
  eventDay: string;
  /** The event's last day. */
  lastDay: string;
  /** Number of the week, from 1, whose Saturday has the longest walk. */
  peakWeek: number;
}

/**
 * The weeks of a season: calendar weeks from Monday to Sunday, the last of which holds the event's first day, whatever day that is. The
 * first is therefore always whole, and an event early in its week has less than that week to train in.
 */
export function calendarOf({ eventDay, eventDays, weeks }: { eventDay: string; eventDays: number; weeks: number }): Calendar {
  const eventMonday = addDays(eventDay, -weekdayOf(eventDay));
  const first = addDays(eventMonday, -7 * (weeks - 1));
  const sinceSaturday = (weekdayOf(eventDay) - SATURDAY + 7) % 7;
  const daysBefore = Math.round((PEAK_DAYS_BEFORE - sinceSaturday) / 7) * 7 + sinceSaturday;
  return {
    mondays: Array.from({ length: weeks }, (_, index) => addDays(first, 7 * index)),
    eventDay,
    lastDay: addDays(eventDay, eventDays - 1),
    peakWeek: Math.floor(daysFrom(first, addDays(eventDay, -daysBefore)) / 7) + 1,
  };
}

/** Days of the week, from Monday, that so many weekday walks are suggested for; any from Monday to Friday will do. */
const SPREAD: number[][] = [[], [2], [1, 3], [1, 2, 3], [0, 1, 2, 3]];
const WEEKDAYS = 5;

/** Whether there may be a walk on a day: the last before the event is kept free. Common practice, no source. */
export function isFree(date: string, eventDay: string): boolean {
  return date >= addDays(eventDay, -1);
}

/** Dates suggested for the weekday walks of the week that begins on this Monday: as many of them as there is room for before the event. */
export function weekdayDates(monday: string, count: number, eventDay: string): string[] {
  const open = Array.from({ length: WEEKDAYS }, (_, day) => day).filter((day) => !isFree(addDays(monday, day), eventDay));
  const spread = SPREAD[count] ?? open.slice(0, count);
  const days = spread.every((day) => open.includes(day)) ? spread : open.slice(0, count);
  return days.map((day) => addDays(monday, day));
}
