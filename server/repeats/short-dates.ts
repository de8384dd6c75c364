import { isDate } from '../web/forms.js';

/** Leap days lie eight years apart at most. */
const YEARS_TRIED = 9;

/** Dates as people of one country write them in short. */
export interface ShortDates {
  /** "12/19", or "19/12" */
  example: string;
  /** YYYY-MM-DD of "12/19/2026" or "12/19"; null where it is no date. */
  read: (typed: string) => string | null;
}

/**
 * Month first where the locale writes it so, else day first; split by "/", "." or "-". A year left out means the next such date, today's own
 * too; two digits of a year are of this century. Pure.
 * @param today YYYY-MM-DD
 */
export function shortDates(locale: string, today: string): ShortDates {
  const order = new Intl.DateTimeFormat(locale, { dateStyle: 'short', timeZone: 'UTC' }).formatToParts(0).map((part) => part.type);
  const monthFirst = order.indexOf('month') < order.indexOf('day');
  return {
    example: monthFirst ? '12/19' : '19/12',
    read: (typed) => {
      const found = /^(\d{1,2})([/.-])(\d{1,2})(?:\2(\d{2}|\d{4}))?$/.exec(typed);
      if (!found) return null;
      const [, one = '', , other = '', year] = found;
      const [month, day] = (monthFirst ? [one, other] : [other, one]).map((part) => part.padStart(2, '0'));
      const on = (of: string) => `${of}-${month}-${day}`;
      if (year !== undefined) return real(on(year.length === 2 ? `20${year}` : year));
      const years = Array.from({ length: YEARS_TRIED }, (_, index) => String(Number(today.slice(0, 4)) + index));
      return years.map(on).find((date) => isDate(date) && date >= today) ?? null;
    },
  };
}

function real(date: string): string | null {
  return isDate(date) ? date : null;
}
