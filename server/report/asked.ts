import { addMonths, monthsFrom } from '../calc/month.js';
import { calendarOf } from '../calc/plan-calendar.js';
import type { GroupSettings } from '../settings/rules.js';
import { line, type Typed } from '../web/forms.js';

/** How many months may be asked for. */
export const COUNTS = [1, 3, 6, 12, 24] as const;
/** What is shown before the season has begun. */
const LAST_MONTHS = 12;
/** As far as the report can be moved, either way. */
const FURTHEST_MONTHS = 240;

type SeasonSettings = Pick<GroupSettings, 'eventDay' | 'eventDays' | 'seasonWeeks'>;

/** What of the report is asked for. */
export interface Asked {
  /** Ascending, YYYY-MM. */
  months: string[];
  /** The season of the group's event; its months so far where none has begun; or months that were chosen. */
  kind: 'season' | 'last months' | 'chosen';
  /** What of the address could not be read, as sentences. */
  faults: string[];
}

/** The months that the season touches, first to last, YYYY-MM; null where the group has set no event. Pure. */
export function seasonMonths({ eventDay, eventDays, seasonWeeks }: SeasonSettings): string[] | null {
  if (eventDay === '') return null;
  const { mondays, lastDay } = calendarOf({ eventDay, eventDays, weeks: seasonWeeks });
  const first = (mondays[0] ?? eventDay).slice(0, 7);
  const months = [first];
  for (let month = first; month < lastDay.slice(0, 7); ) {
    month = addMonths(month, 1);
    months.push(month);
  }
  return months;
}

/** Reads the report's query, `from` (YYYY-MM) and `months`; what can't be read is left out, and said. Pure. @param now the month it is */
export function readAsked(query: Typed, now: string, settings: SeasonSettings): Asked {
  const [typedFrom, typedMonths] = [line(query, 'from'), line(query, 'months')];
  const from = readMonth(typedFrom, now);
  const count = /^\d{1,2}$/.test(typedMonths) && Number(typedMonths) >= 1 && Number(typedMonths) <= 24 ? Number(typedMonths) : null;
  const faults: string[] = [];
  if (typedFrom !== '' && from === null) faults.push('That month could not be read, so it is left out.');
  if (typedMonths !== '' && count === null) faults.push('The number of months is 1 to 24, so it is left out.');
  if (from === null && count === null) return { ...unasked(now, settings), faults };
  const months = count ?? LAST_MONTHS;
  return { months: monthsFrom(from ?? addMonths(now, 1 - months), months), kind: 'chosen', faults };
}

/** The season from its first month on; before that, or without one, the last twelve months. */
function unasked(now: string, settings: SeasonSettings): Omit<Asked, 'faults'> {
  const season = seasonMonths(settings);
  if (season !== null && (season[0] ?? '') <= now) return { months: season, kind: 'season' };
  return { months: monthsFrom(addMonths(now, 1 - LAST_MONTHS), LAST_MONTHS), kind: 'last months' };
}

function readMonth(typed: string, now: string): string | null {
  const isMonth = /^\d{4}-(0[1-9]|1[0-2])$/.test(typed);
  return isMonth && typed >= addMonths(now, -FURTHEST_MONTHS) && typed <= addMonths(now, FURTHEST_MONTHS) ? typed : null;
}

/** The report's address for some months. */
export function reportHref(months: string[]): string {
  return `/coordinate/report?from=${months[0]}&months=${months.length}`;
}
