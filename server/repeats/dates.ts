import { addDays } from '../calc/month.js';
import { type Faults, isDate, line, lines, type Typed } from '../web/forms.js';
import type { ShortDates } from './short-dates.js';

/** A series has no more walks than this beside the one it is made from: half a year of weeks. */
export const MOST_DATES = 26;
const DAYS_A_WEEK = 7;
/** How many weeks lie between two walks, as the form names it. */
const EVERY: Record<string, number> = { '1': 1, '2': 2, '4': 4 };

/** What the first step of a series takes, as it was typed. */
export interface DatesForm {
  every: string;
  ends: string;
  count: string;
  until: string;
  dates: string;
}

export function datesForm(typed: Typed): DatesForm {
  return {
    every: line(typed, 'every'),
    ends: line(typed, 'ends'),
    count: line(typed, 'count'),
    until: line(typed, 'until'),
    dates: lines(typed, 'dates'),
  };
}

/**
 * The dates a series is to have beside the walk's own, ascending; or a sentence for each field to mend. Pure.
 * @param from the walk's date, YYYY-MM-DD
 * @param short how the group writes a date in short
 */
export function readDates(form: DatesForm, from: string, short: ShortDates): { dates: string[] } | { faults: Faults } {
  if (form.every === 'dates') return listed(form.dates, short);
  const weeks = Object.hasOwn(EVERY, form.every) ? EVERY[form.every] : undefined;
  if (weeks === undefined) return { faults: { every: 'Choose how often the walk is led, or list the dates.' } };
  const nth = (index: number) => addDays(from, (index + 1) * weeks * DAYS_A_WEEK);
  if (form.ends === 'until') return untilDate(form.until, nth);
  if (form.ends !== 'count') return { faults: { ends: 'Choose how the series ends.' } };
  const count = /^\d{1,3}$/.test(form.count) ? Number(form.count) : 0;
  if (count < 1 || count > MOST_DATES) return { faults: { count: `Type how many more walks: 1 to ${MOST_DATES}.` } };
  return { dates: Array.from({ length: count }, (_, index) => nth(index)) };
}

function untilDate(until: string, nth: (index: number) => string): { dates: string[] } | { faults: Faults } {
  if (!isDate(until))
    return { faults: { until: until === '' ? 'Choose the last date.' : 'That date does not exist. Type it as YYYY-MM-DD.' } };
  if (until < nth(0)) return { faults: { until: `The first would be on ${nth(0)}. Choose that day or a later one.` } };
  const dates = Array.from({ length: MOST_DATES + 1 }, (_, index) => nth(index)).filter((date) => date <= until);
  if (dates.length > MOST_DATES) return { faults: { until: `That is more than ${MOST_DATES} walks. Choose an earlier last date.` } };
  return { dates };
}

function listed(text: string, short: ShortDates): { dates: string[] } | { faults: Faults } {
  const typed = text.split(/[\s,;]+/).filter((one) => one !== '');
  const read = typed.map((one) => (isDate(one) ? one : short.read(one)));
  const wrong = typed.find((_, index) => read[index] === null);
  const dates = [...new Set(read)].filter((one) => one !== null).sort();
  if (typed.length === 0) return { faults: { dates: `Type a date a line, such as ${short.example}.` } };
  if (wrong !== undefined)
    return { faults: { dates: `"${wrong.slice(0, 30)}" is no date. Type each as ${short.example} or 2026-12-19, one a line.` } };
  if (dates.length > MOST_DATES)
    return { faults: { dates: `These are ${dates.length} dates; a series takes ${MOST_DATES}. Leave some out.` } };
  return { dates };
}
