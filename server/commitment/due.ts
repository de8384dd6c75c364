import { addDays, addMonths } from '../calc/month.js';
import type { LeaderMonth } from './rules.js';

/** What a leader has still to do: so many walks in a month, and the date by which posting them is of use. */
export interface Due {
  month: string;
  walks: number;
  /** YYYY-MM-DD: the day before a coming month begins, the last of the one that runs. */
  by: string;
}

/** The first of this month and the next for which walks are still to post; null where the leader is on course, and of a promise that is yet to begin. Pure. @param now the month it is */
export function dueOf(months: LeaderMonth[], now: string): Due | null {
  const short = months.filter((one) => one.short > 0);
  const one = short.find(({ month }) => month === now) ?? short.find(({ month, isFirst }) => month === addMonths(now, 1) && !isFirst);
  if (!one) return null;
  const begins = one.month === now ? addMonths(now, 1) : one.month;
  return { month: one.month, walks: one.short, by: addDays(`${begins}-01`, -1) };
}
