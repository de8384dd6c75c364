import { addDays, addMonths, monthsFrom } from '../calc/month.js';

/** One cell of the board: walks posted against walks wanted. */
export interface Cell {
  met: number;
  needed: number;
  fill: 'full' | 'part' | 'none';
}

/** Met and needed for a month: never more met than needed, so that one month's plenty does not hide another's want. */
export function cell(walks: number, floor: number): Cell {
  const met = Math.min(walks, floor);
  return { met, needed: floor, fill: met >= floor ? 'full' : met === 0 ? 'none' : 'part' };
}

/** With fewer days left than this, it is too late to find a leader and walkers for a month. */
const ENOUGH_DAYS = 7;

/** The `count` months, from today's on, in which a new walk can still be of use. @param today YYYY-MM-DD, itself counted among the days left */
export function monthsInReach(today: string, count: number): string[] {
  const month = today.slice(0, 7);
  const isTooLate = addDays(today, ENOUGH_DAYS - 1).slice(0, 7) !== month;
  return monthsFrom(isTooLate ? addMonths(month, 1) : month, count);
}

const SATURDAY = 6;

/** The first Saturday of a month that comes after today, YYYY-MM-DD: the day most walks are on. Null where the month has none left. */
export function saturdayIn(month: string, today: string): string | null {
  const first = `${month}-01`;
  const from = first > today ? first : addDays(today, 1);
  const saturday = addDays(from, (SATURDAY - new Date(`${from}T00:00:00Z`).getUTCDay() + 7) % 7);
  return saturday.slice(0, 7) === month ? saturday : null;
}
