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
const NONE: ReadonlySet<string> = new Set();

/** The day of a need that a walk is best posted for: the suggested one, or the first after today; null where none is left. Pure. @param today YYYY-MM-DD @param walked days on which the area has a walk already */
export function dayFor(need: AreaNeed, today: string, walked: ReadonlySet<string> = NONE): string | null {
  if (need.day !== null) return need.day > today ? need.day : (need.days.find((day) => day > today) ?? null);
  const left = need.days.filter((day) => day > today);
  // Of the floor: the Saturdays in turn, so that two walks are not asked for on one day; best those without a walk.
  const saturdays = left.filter((day) => weekdayOf(day) === SATURDAY);
  const free = saturdays.filter((day) => !walked.has(day));
  // Needs are met in their order: as many before this one have their day as there are days with a walk.
  if (free.length > 0) return free[(need.index + (free.length - 1) * (saturdays.length - free.length)) % free.length] ?? null;
  const among = saturdays.length > 0 ? saturdays : left;
  return among[need.index % among.length] ?? null;
}

/** The days on which an area has a walk that counts. Pure. */
export function daysWalked({ covered, spare }: Pick<AreaCoverage, 'covered' | 'spare'>): ReadonlySet<string> {
  return new Set([...covered.flatMap(({ walk }) => walk?.date ?? []), ...spare.map(({ date }) => date)]);
}

const known = new WeakMap<AreaCoverage, readonly Gap[]>();

/** The gaps of an area that a walk can still fill, in the order of their days. A page asks for them at several places: they are worked out once for each coverage. Pure. */
export function gapsOf(coverage: AreaCoverage): readonly Gap[] {
  const found = known.get(coverage) ?? gapsIn(coverage);
  known.set(coverage, found);
  return found;
}

function gapsIn(coverage: AreaCoverage): Gap[] {
  const { area, covered, today } = coverage;
  const walked = daysWalked(coverage);
  const gaps: Gap[] = [];
  for (const { need, walk } of covered) {
    const date = walk ? null : dayFor(need, today, walked);
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
