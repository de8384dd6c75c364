import type { GroupSettings } from '../settings/rules.js';
import { monthWords } from '../web/when.js';
import type { MonthlyContent } from './monthly.js';
import { walkCount } from './words.js';

/** What the templates of the monthly mail show. Pure. */
export function monthlyModel({ month, pledge, areaName, needs, href }: MonthlyContent, { locale }: GroupSettings, baseUrl: string) {
  return {
    month: monthWords(month, locale),
    pledge: walkCount(pledge),
    areaName,
    needs: needs.map((one) => ({
      words: 'words' in one ? one.words : `${monthWords(one.month, locale)}: ${one.met} of ${one.needed} walks are posted`,
      link: `${baseUrl}${one.href}`,
    })),
    postLink: `${baseUrl}${href}`,
    commitmentLink: `${baseUrl}/lead/commitment`,
  };
}

/** "A walk for December 2026?" Pure. */
export function monthlySubject({ month, pledge }: MonthlyContent, locale: string): string {
  return `${pledge === 1 ? 'A walk' : 'Walks'} for ${monthWords(month, locale)}?`;
}
