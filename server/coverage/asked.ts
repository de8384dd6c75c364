import { fromMetres, toMetres, type Units } from '../calc/measure.js';
import { addMonths, monthsFrom } from '../calc/month.js';
import { type Faults, line, type Typed } from '../web/forms.js';

/** How many months the board may show. */
export const WINDOWS = [6, 12, 3] as const;

/** What of the board is asked for. */
export interface Asked {
  months: string[];
  /** No month was asked for: the board begins with the one it is. */
  isUsual: boolean;
  /** Only needs whose best length lies between them, metres. */
  minMetres: number | null;
  maxMetres: number | null;
  /** The cell that is open: an area's address and a month. */
  open: { area: string; month: string } | null;
  faults: Faults;
}

/** Reads the board's query: `from` (YYYY-MM), `months`, `min`, `max` in the group's unit, `area` and `month` of the open cell. What can't be read is left out, and said. */
export function readAsked(query: Typed, now: string, units: Units): Asked {
  const faults: Faults = {};
  const month = readMonth(query, 'month');
  const area = line(query, 'area');
  const count = WINDOWS.find((one) => String(one) === line(query, 'months')) ?? WINDOWS[0];
  const asked = readMonth(query, 'from');
  if (asked === null && line(query, 'from') !== '') faults.from = 'That month could not be read, so the board begins with this one.';
  const from = asked ?? now;
  const open = area !== '' && month !== null ? { area, month } : null;
  const [min, max] = [readLength(query, 'min', units, faults), readLength(query, 'max', units, faults)];
  const isSwapped = min !== null && max !== null && min > max;
  if (isSwapped) faults.min = 'From was longer than up to, so they are swapped.';
  return {
    months: reaching(from, count, open?.month ?? from),
    isUsual: asked === null,
    minMetres: isSwapped ? max : min,
    maxMetres: isSwapped ? min : max,
    open,
    faults,
  };
}

/** The months from one on; those from the open cell's on, where it would lie outside. */
function reaching(from: string, count: number, month: string): string[] {
  const isInside = month >= from && month < addMonths(from, count);
  return monthsFrom(isInside ? from : month, count);
}

function readMonth(query: Typed, field: string): string | null {
  const typed = line(query, field);
  return /^(19|20|21)\d{2}-(0[1-9]|1[0-2])$/.test(typed) ? typed : null;
}

function readLength(query: Typed, field: string, units: Units, faults: Faults): number | null {
  const typed = line(query, field);
  if (typed === '') return null;
  if (/^\d{1,3}([.,]\d{1,2})?$/.test(typed)) return toMetres(Number(typed.replace(',', '.')), units);
  faults[field] = 'That length could not be read, so it is left out.';
  return null;
}

/** The board's address with what is asked for, and some of it changed; an empty value leaves it out. */
export function boardHref(asked: Asked, units: Units, change: Partial<Record<'from' | 'area' | 'month', string>> = {}): string {
  const query = new URLSearchParams();
  const set = (name: string, value: string | undefined) => {
    if (value) query.set(name, value);
  };
  set('from', change.from ?? (asked.isUsual ? '' : asked.months[0]));
  if (asked.months.length !== WINDOWS[0]) set('months', String(asked.months.length));
  for (const [name, metres] of [
    ['min', asked.minMetres],
    ['max', asked.maxMetres],
  ] as const)
    if (metres !== null) set(name, String(Math.round(fromMetres(metres, units) * 100) / 100));
  set('area', change.area);
  set('month', change.month);
  return `/coordinate${query.size > 0 ? `?${query.toString()}` : ''}`;
}
