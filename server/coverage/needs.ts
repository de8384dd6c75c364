import { fromMetres } from '../calc/measure.js';
import { monthsFrom } from '../calc/month.js';
import type { Tx } from '../db/open.js';
import { planInForce } from '../plan/store.js';
import type { GroupSettings } from '../settings/rules.js';
import { coverageOf } from './coverage.js';
import { type Gap, gapsOf } from './gaps.js';
import { saturdayIn } from './rules.js';
import { lengthWanted, wantedWords } from './words.js';

const MONTHS_SHOWN = 4;
const MOST_SHOWN = 12;

/** A walk that an area still needs. */
export interface Wanted {
  /** The need's own id. */
  id: string;
  area: string;
  slug: string;
  /** The week's Monday, YYYY-MM-DD; empty for one of the floor. */
  week: string;
  kind: Gap['need']['dayKind'];
  /** The plan's length, metres, and in words ("10 miles"); null where any will do. */
  metres: number | null;
  length: string | null;
  /** The day to post it for, YYYY-MM-DD. */
  date: string;
  /** "Sat, Dec 12: 10 miles wanted" */
  words: string;
  /** A form for it, filled as far as it can be. */
  href: string;
}

/** What an area still needs in the months ahead, the soonest first, twelve at most. A fixed number of queries. @param today the date it is there, YYYY-MM-DD */
export function areaNeeds(q: Tx, areaId: number, today: string, settings: GroupSettings): Wanted[] {
  const terms = { plan: planInForce(q, settings), settings, todayIn: () => today };
  const [coverage] = coverageOf(q, terms, monthsFrom(today.slice(0, 7), MONTHS_SHOWN), areaId);
  return coverage
    ? gapsOf(coverage)
        .slice(0, MOST_SHOWN)
        .map((gap) => wantedOf(gap, settings))
    : [];
}

function wantedOf(gap: Gap, settings: GroupSettings): Wanted {
  const { need, area, date } = gap;
  return {
    id: need.id,
    area: area.name,
    slug: area.slug,
    week: need.week,
    kind: need.dayKind,
    metres: need.dayKind === 'any' ? null : need.bestMetres,
    length: lengthWanted(need, settings.units),
    date,
    words: wantedWords(need, date, settings),
    href: gapHref(gap, settings),
  };
}

/** What of a gap fills a form. */
interface GapForm {
  need: Pick<Gap['need'], 'dayKind' | 'bestMetres'>;
  area: Pick<Gap['area'], 'slug'>;
  date: string;
}

/** The new-walk form, filled with a gap's area, day and length. */
export function gapHref({ need, area, date }: GapForm, { units }: Pick<GroupSettings, 'units'>): string {
  const length = Math.round(fromMetres(need.bestMetres, units) * 100) / 100;
  return `${hrefOn(area.slug, date)}${need.dayKind === 'any' ? '' : `&distance=${length}`}`;
}

/** The proposal of who could lead one walk that is missing: of that one alone, so that asking for it asks nobody for others. */
export function proposalFor({ id, month }: Pick<Gap['need'], 'id' | 'month'>, { slug }: Pick<Gap['area'], 'slug'>): string {
  return `/coordinate/proposals?${new URLSearchParams({ from: month, months: '1', area: slug, need: id }).toString()}`;
}

/** The proposals from the month on with which a board begins. */
export function proposalsFrom({ months, isUsual }: { months: string[]; isUsual: boolean }): string {
  return isUsual ? '/coordinate/proposals' : `/coordinate/proposals?from=${months[0]}`;
}

/** The new-walk form, filled with an area and the first Saturday of a month that comes after today. */
export function newWalkHref(area: string, month: string, today: string): string {
  return hrefOn(area, saturdayIn(month, today));
}

function hrefOn(area: string, date: string | null): string {
  return `/lead/walks/new?area=${area}${date === null ? '' : `&date=${date}`}`;
}
