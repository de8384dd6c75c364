import { fromMetres, METRES_PER_MILE, type Units } from '../calc/measure.js';
import { planLength } from '../calc/plan-grid.js';
import type { GroupSettings } from '../settings/rules.js';
import { dateWords, monthWords } from '../web/when.js';
import type { AreaNeed } from './needs-of.js';

export const KIND_WORDS: Record<AreaNeed['dayKind'], string> = {
  weekday: 'Weekday',
  saturday: 'Long Saturday',
  sunday: 'Sunday after it',
  any: 'Any day',
};

type Writing = Pick<GroupSettings, 'units' | 'locale'>;

/** "8.1–10.4 mi": lengths that count, each rounded to the inside; "any length". */
export function rangeWords({ dayKind, leastMetres, mostMetres }: AreaNeed, units: Units): string {
  if (dayKind === 'any') return 'any length';
  const tenths = (metres: number) => fromMetres(metres, units) * 10;
  return `${Math.ceil(tenths(leastMetres)) / 10}–${Math.floor(tenths(mostMetres)) / 10} ${units}`;
}

/** "10 miles", "8.5 km"; null for a need of any length. */
export function lengthWanted({ dayKind, bestMetres }: Pick<AreaNeed, 'dayKind' | 'bestMetres'>, units: Units): string | null {
  if (dayKind === 'any') return null;
  return units === 'km' ? planLength(bestMetres, units) : milesWords(bestMetres);
}

function milesWords(metres: number): string {
  const miles = Math.round((metres / METRES_PER_MILE) * 100) / 100;
  return `${miles} ${miles === 1 ? 'mile' : 'miles'}`;
}

/** "Sat, Dec 12: 10 miles wanted", or "Sat, Dec 12, or another day in December 2026: a walk wanted, any length". */
export function wantedWords(need: Pick<AreaNeed, 'dayKind' | 'bestMetres' | 'month'>, date: string, { units, locale }: Writing): string {
  const length = lengthWanted(need, units);
  const day = dateWords(date, locale);
  if (length === null) return `${day}, or another day in ${monthWords(need.month, locale)}: a walk wanted, any length`;
  return `${day}: ${length} wanted${need.dayKind === 'weekday' ? ', any weekday that week' : ''}`;
}

/** "within a week", "in 1 week", "in 3 weeks" */
export function weeksWords(weeks: number): string {
  if (weeks === 0) return 'within a week';
  return `in ${weeks} ${weeks === 1 ? 'week' : 'weeks'}`;
}
