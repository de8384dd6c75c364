import { monthWords } from '../web/when.js';
import { isMonth } from './changes.js';
import type { Pledge } from './rules.js';
import { walkCount } from './words.js';

/**
 * "2 walks a month from December 2026": what a form of a commitment has just kept, as it stands now; null where nothing was sent, or where
 * it does not stand so, as on an old address. Pure.
 * @param asked what the page's address names: the form, and the month it was of
 */
export function savedWords(
  asked: { form: string; month: string },
  kept: { pledges: Pledge[]; excused: ReadonlySet<string> },
  locale: string,
) {
  const { form, month } = asked;
  const last = kept.pledges.at(-1);
  if (form === 'pledge' && last) return `${walkCount(last.walks)} a month from ${monthWords(last.fromMonth, locale)}`;
  if (!isMonth(month)) return null;
  if (form === 'excuse' && kept.excused.has(month)) return `excused in ${monthWords(month, locale)}`;
  return form === 'back' && !kept.excused.has(month) ? `${monthWords(month, locale)} is not excused any more` : null;
}
