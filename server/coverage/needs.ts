import { monthsFrom } from '../calc/month.js';
import type { Tx } from '../db/open.js';
import { saturdayIn } from './rules.js';
import { areaMonths } from './store.js';

const MONTHS_AHEAD = 4;

/** A month in which an area has fewer walks than it should. */
export interface AreaNeed {
  month: string;
  met: number;
  needed: number;
  /** The area's name. */
  area: string;
  /** The new-walk form, filled with the area and the first Saturday to come in that month. */
  href: string;
}

/** What an area still needs in this month and the three after it, months ascending. Two queries. @param today YYYY-MM-DD */
export function areaNeeds(q: Tx, areaId: number, today: string, floorWalks: number): AreaNeed[] {
  const area = areaMonths(q, monthsFrom(today.slice(0, 7), MONTHS_AHEAD), floorWalks).find((one) => one.id === areaId);
  return (area?.months ?? [])
    .filter((one) => one.fill !== 'full')
    .map(({ month, met, needed }) => ({ month, met, needed, area: area?.name ?? '', href: newWalkHref(area?.slug ?? '', month, today) }));
}

/** The new-walk form, filled with an area and the first Saturday of a month that comes after today. */
export function newWalkHref(area: string, month: string, today: string): string {
  const date = saturdayIn(month, today);
  return `/lead/walks/new?area=${area}${date === null ? '' : `&date=${date}`}`;
}
