import { monthsFrom } from '../calc/month.js';
import type { Tx } from '../db/open.js';
import { saturdayIn } from './rules.js';
import { areaMonths } from './store.js';

const MONTHS_SHOWN = 4;

/** A month in which an area has fewer walks than it should. */
export interface Need {
  /** YYYY-MM */
  month: string;
  area: string;
  slug: string;
  met: number;
  needed: number;
  /** The first Saturday of it to come, YYYY-MM-DD; null where none is left. */
  date: string | null;
  /** A form for a walk then, filled as far as it can be. */
  href: string;
}

/** What an area still needs, this month first. Two queries. @param today YYYY-MM-DD */
export function areaNeeds(q: Tx, areaId: number, today: string, floorWalks: number): Need[] {
  const area = areaMonths(q, monthsFrom(today.slice(0, 7), MONTHS_SHOWN), floorWalks).find((one) => one.id === areaId);
  if (!area) return [];
  const { name, slug } = area;
  return area.months
    .filter((one) => one.fill !== 'full')
    .map(({ month, met, needed }) => {
      const date = saturdayIn(month, today);
      return { month, area: name, slug, met, needed, date, href: hrefOn(slug, date) };
    });
}

/** The new-walk form, filled with an area and the first Saturday of a month that comes after today. */
export function newWalkHref(area: string, month: string, today: string): string {
  return hrefOn(area, saturdayIn(month, today));
}

function hrefOn(area: string, date: string | null): string {
  return `/lead/walks/new?area=${area}${date === null ? '' : `&date=${date}`}`;
}
