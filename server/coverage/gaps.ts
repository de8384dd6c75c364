import { weekdayOf } from '../calc/plan-calendar.js';
import type { AreaCoverage } from './coverage.js';
import type { AreaNeed } from './needs-of.js';
import type { WantingArea } from './store.js';

/** A need that no posted walk meets, and that one still can. */
export interface Gap {
  need: AreaNeed;
  area: WantingArea;
  /** The day to post a walk for, YYYY-MM-DD, after today. */
  date: string;
  /** The date it is in the area. */
  today: string;
}

const SATURDAY = 5;

/** The day of a need that a walk is best posted for: the suggested one, or the first after today; null where none is left. Pure. @param today YYYY-MM-DD */
export function dayFor(need: AreaNeed, today: string): string | null {
  if (need.day !== null) return need.day > today ? need.day : (need.days.find((day) => day > today) ?? null);
  const left = need.days.filter((day) => day > today);
  // Of the floor: the Saturdays in turn, so that two walks are not asked for on one day.
  const saturdays = left.filter((day) => weekdayOf(day) === SATURDAY);
  const among = saturdays.length > 0 ? saturdays : left;
  return among[need.index % among.length] ?? null;
}

/** The gaps of an area that a walk can still fill, in the order of their days. Pure. */
export function gapsOf({ area, covered, today }: AreaCoverage): Gap[] {
  const gaps: Gap[] = [];
  for (const { need, walk } of covered) {
    const date = walk ? null : dayFor(need, today);
    if (date !== null) gaps.push({ need, area, date, today });
  }
  return gaps.sort(byDate);
}

/** By day, and on one day by the areas' and the needs' own order. */
export function byDate(a: Gap, b: Gap): number {
  if (a.date !== b.date) return a.date < b.date ? -1 : 1;
  if (a.area.id !== b.area.id) return a.area.id - b.area.id;
  return a.need.id < b.need.id ? -1 : 1;
}
