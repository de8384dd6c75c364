import { addDays } from '../server/calc/month.js';

const MINUTES_AN_HOUR = 60;
const DAY_MS = 24 * 60 * 60 * 1000;
/** A Monday, to count weeks from. */
const FIRST_MONDAY = Date.parse('2024-01-01');

/** 0 for Sunday to 6 for Saturday. */
export function dayOfWeek(date: string): number {
  return new Date(date).getUTCDay();
}

/** Counts weeks, Monday to Sunday, so that "every second week" is the same week whatever the day the demo starts on. */
export function weekNumber(date: string): number {
  return Math.floor((Date.parse(date) - FIRST_MONDAY) / (7 * DAY_MS));
}

/** All dates from `first` up to, but not, `end`. */
export function datesBetween(first: string, end: string): string[] {
  const dates: string[] = [];
  for (let date = first; date < end; date = addDays(date, 1)) dates.push(date);
  return dates;
}

/** Minutes after midnight, of HH:MM. */
export function minutes(time: string): number {
  return Number(time.slice(0, 2)) * MINUTES_AN_HOUR + Number(time.slice(3));
}

/** HH:MM, of minutes after midnight. */
export function clock(afterMidnight: number): string {
  const [hour, minute] = [Math.floor(afterMidnight / MINUTES_AN_HOUR), afterMidnight % MINUTES_AN_HOUR];
  return `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`;
}
