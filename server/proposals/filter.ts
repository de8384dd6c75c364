import { addMonths, monthsFrom } from '../calc/month.js';
import { type Faults, line, type Typed } from '../web/forms.js';

/** How many months proposals may be made for; the first where nothing is said. */
export const WINDOWS = [3, 1, 6, 12] as const;
const MOST_ID = 40;

/** Which gaps proposals are asked for. */
export interface Filter {
  months: string[];
  /** An area's address; empty: all. */
  area: string;
  /** The one need to be proposed for; empty: all. */
  need: string;
  /** No month was asked for: they begin with the one it is. */
  isUsual: boolean;
  faults: Faults;
}

/** Reads `from` (YYYY-MM), `months`, `area` and `need` (its id) from a query. What can't be read is left out, and said; months that are over are not proposed for. @param areas the addresses there are */
export function readFilter(query: Typed, now: string, areas: string[]): Filter {
  const faults: Faults = {};
  const typed = line(query, 'from');
  const isMonth = /^(20|21)\d{2}-(0[1-9]|1[0-2])$/.test(typed) && typed < addMonths(now, 120);
  if (typed !== '' && !isMonth) faults.from = 'That month could not be read, so the proposals begin with this one.';
  const from = isMonth && typed > now ? typed : now;
  const count = WINDOWS.find((one) => String(one) === line(query, 'months')) ?? WINDOWS[0];
  const slug = line(query, 'area');
  const area = areas.find((one) => one === slug) ?? '';
  if (slug !== area) faults.area = 'There is no such area, so all are shown.';
  return { months: monthsFrom(from, count), area, need: line(query, 'need').slice(0, MOST_ID), isUsual: from === now, faults };
}

/** The address of the proposals that are asked for, some of it changed. */
export function proposalsHref({ months, area, need, isUsual }: Filter, change: { need?: ''; sent?: number } = {}): string {
  const query = new URLSearchParams();
  if (!isUsual) query.set('from', months[0] ?? '');
  if (months.length !== WINDOWS[0]) query.set('months', String(months.length));
  if (area !== '') query.set('area', area);
  const one = change.need ?? need;
  if (one !== '') query.set('need', one);
  if (change.sent) query.set('sent', String(change.sent));
  return `/coordinate/proposals${query.size > 0 ? `?${query.toString()}` : ''}`;
}
