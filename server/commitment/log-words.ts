import { wallOf } from '../calc/zone.js';
import type { GroupSettings } from '../settings/rules.js';
import { dateWords, monthWords } from '../web/when.js';
import { walkCount } from './words.js';

interface Change {
  at: number;
  action: string;
  detail: { [name: string]: unknown };
  by: string | null;
}

/** A line of the log about a commitment as a sentence: what changed, when, by whom. Pure. */
export function changeWords({ at, action, detail, by }: Change, zone: string, { locale }: Pick<GroupSettings, 'locale'>) {
  const date = wallOf(at, zone).date;
  return {
    on: { date, words: `${dateWords(date, locale)}, ${date.slice(0, 4)}` },
    by: by ?? 'nobody signed in',
    what: what(action, detail, locale),
  };
}

function what(action: string, detail: Change['detail'], locale: string): string {
  const { walks, fromMonth, month, wanted } = detail;
  if (typeof walks === 'number' && typeof fromMonth === 'string')
    return `pledge: ${walkCount(walks)} a month from ${monthWords(fromMonth, locale)}`;
  if (typeof month === 'string') return `${action}: ${monthWords(month, locale)}`;
  if (typeof wanted === 'boolean') return wanted ? 'turned the monthly mail on' : 'turned the monthly mail off';
  return action;
}
