import type { GroupSettings } from '../settings/rules.js';
import { dateWords, longMonth } from '../web/when.js';
import { peopleWords } from './board-model.js';
import { gapHref, proposalFor } from './needs.js';
import type { UrgentGap } from './urgency.js';
import { KIND_WORDS, lengthWanted, rangeWords, weeksWords } from './words.js';

const MOST_SHOWN = 12;

interface Around {
  /** Lately, by area's number. */
  walkers: ReadonlyMap<number, number>;
  settings: GroupSettings;
  /** The visitor leads walks. */
  leads: boolean;
  /** Who was asked for each need, by its id. */
  asked: ReadonlyMap<string, string>;
  /** The needs for which somebody's answer is awaited. */
  waiting: ReadonlySet<string>;
}

/** The most urgent gaps, each with the one thing to do: who leads can post a walk; others ask those who do. */
export function pressingModel(gaps: UrgentGap[], { walkers, settings, leads, asked, waiting }: Around) {
  return {
    more: Math.max(0, gaps.length - MOST_SHOWN),
    gaps: gaps.slice(0, MOST_SHOWN).map(({ need, area, date, weeksLeft, score, ...gap }) => ({
      weeks: weeksWords(weeksLeft),
      area: area.name,
      date: dateWords(date, settings.locale),
      length: lengthWanted(need, settings.units) ?? 'any length',
      counts: need.dayKind === 'any' ? null : rangeWords(need, settings.units),
      kind: need.dayKind === 'any' ? `Any day in ${longMonth(need.month, settings.locale)}` : KIND_WORDS[need.dayKind],
      people: peopleWords(area.leaders, walkers.get(area.id) ?? 0),
      score,
      asked: asked.get(need.id) ?? null,
      href: leads ? gapHref({ ...gap, need, area, date }, settings) : proposalFor(need, area),
      todo: leads ? 'Post this walk' : waiting.has(need.id) ? 'See' : 'Ask',
    })),
  };
}
