import { fromMetres, toMetres, type Units } from '../calc/measure.js';
import { addDays } from '../calc/month.js';
import { WISH_BOUNDS } from '../calc/plan.js';
import { isFree, weekdayDates } from '../calc/plan-calendar.js';
import { type Faults, figure, line, type Typed } from '../web/forms.js';
import type { WeekLengths } from './store.js';

const LEAST = 0.5;

/** A field of a week's form: a walk that there may be. */
export interface WeekField {
  name: string;
  label: string;
}

/** The walks that a week may have: up to four from Monday to Friday, and the two of its end, as far as they come before the event. Pure. */
export function weekFields(monday: string, eventDay: string): WeekField[] {
  const weekdays = weekdayDates(monday, WISH_BOUNDS.weekdayWalks.most, eventDay).length;
  const isOpen = (day: number) => !isFree(addDays(monday, day), eventDay);
  return [
    ...Array.from({ length: weekdays }, (_, index) => ({ name: `weekday${index + 1}`, label: `Weekday walk ${index + 1}` })),
    ...(isOpen(5) ? [{ name: 'saturday', label: 'Saturday' }] : []),
    ...(isOpen(6) ? [{ name: 'sunday', label: 'Sunday' }] : []),
  ];
}

/** A week's lengths as its fields show them, in the group's unit; empty where there is no walk. Pure. */
export function typedWeek({ weekday, saturday, sunday }: WeekLengths, units: Units): Record<string, string> {
  const shown = (metres: number | null | undefined) => (metres ? String(Math.round(fromMetres(metres, units) * 100) / 100) : '');
  const weekdays = Array.from({ length: WISH_BOUNDS.weekdayWalks.most }, (_, index) => [`weekday${index + 1}`, shown(weekday[index])]);
  return { ...Object.fromEntries(weekdays), saturday: shown(saturday), sunday: shown(sunday) };
}

/** The lengths in one line: a form carries those that it was opened with, so that a change made meanwhile is seen. Pure. */
export function seenWeek({ weekday, saturday, sunday }: WeekLengths): string {
  return [weekday.join('+'), saturday ?? 0, sunday ?? 0].join('|');
}

/** Reads a week's form; what the week has no room for is not looked at. Pure. */
export function readWeek(typed: Typed, fields: WeekField[], units: Units): { lengths: WeekLengths } | { faults: Faults } {
  const faults: Faults = {};
  const { most } = WISH_BOUNDS.day[units];
  const read = new Map<string, number>();
  for (const { name } of fields) {
    const text = line(typed, name);
    const value = text === '' ? null : (figure(text) ?? Number.NaN);
    if (value === null) continue;
    if (value >= LEAST && value <= most) read.set(name, toMetres(value, units));
    else faults[name] = `Type ${units === 'mi' ? 'miles' : 'kilometres'}: ${LEAST} to ${most}, or leave it empty for no walk.`;
  }
  if (Object.keys(faults).length > 0) return { faults };
  const weekday = [...read].flatMap(([name, metres]) => (name.startsWith('weekday') ? [metres] : []));
  return { lengths: { weekday, saturday: read.get('saturday') ?? null, sunday: read.get('sunday') ?? null } };
}
