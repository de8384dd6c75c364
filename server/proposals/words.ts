import type { WhyNot } from '../calc/assign.js';
import type { Reasons } from '../calc/assign-reasons.js';
import { fromMetres, type Units } from '../calc/measure.js';
import type { GroupSettings } from '../settings/rules.js';
import { longMonth } from '../web/when.js';
import type { AskStanding } from './rules.js';

type Writing = Pick<GroupSettings, 'units' | 'locale'>;

/** Why nobody is left for a walk, by what kept back those who came nearest. */
export const NOBODY_WORDS: Record<WhyNot | 'taken', string> = {
  taken: 'Whoever could is proposed for another walk.',
  area: 'No leader goes to this area.',
  far: 'The leaders who go there live too far away.',
  length: 'Nobody near leads walks of this length.',
  day: 'Nobody near leads on this day of the week.',
  excused: 'Whoever could is excused that month, or starts later.',
  busy: 'Whoever could leads another walk that day.',
  weekend: 'Whoever could leads another walk that weekend.',
  pledge: 'Whoever could has promised no more walks that month.',
  declined: 'Whoever could said not this time.',
};

/** What speaks for a leader: "Own area. 1 of 2 walks promised for December is left. Led 3 this season." */
export function reasonWords({ isHomeArea, metresAway, pledged, left, ledThisSeason }: Reasons, month: string, settings: Writing): string {
  const where = isHomeArea ? 'Own area' : `Comes from ${awayWords(metresAway, settings.units)} away`;
  return `${where}. ${leftWords(left, pledged, longMonth(month, settings.locale))} Led ${ledThisSeason} this season.`;
}

/** The same in a line of a list: "Bette Lindqvist: own area, 1 of 2 left" */
export function choiceWords(name: string, { isHomeArea, metresAway, pledged, left }: Reasons, units: Units): string {
  return `${name}: ${isHomeArea ? 'own area' : `${awayWords(metresAway, units)} away`}, ${left > 0 ? `${left} of ${pledged} left` : 'pledge met'}`;
}

function leftWords(left: number, pledged: number, month: string): string {
  if (left <= 0)
    return pledged === 0
      ? `Promised none for ${month}.`
      : `What was promised for ${month} (${pledged}) is posted, asked for or proposed above: this is one more.`;
  return `${left} of ${pledged} promised for ${month} ${left === 1 ? 'is' : 'are'} left.`;
}

function awayWords(metres: number, units: Units): string {
  return `${Math.round(fromMetres(metres, units))} ${units}`;
}

/** How an ask stands, to a coordinator. */
export const STANDING_WORDS: Record<AskStanding, string> = {
  open: 'no answer yet',
  posted: 'posted the walk',
  'not this time': 'not this time',
  ended: 'not asked any more',
  met: 'another walk is there',
  past: 'passed without an answer',
  dropped: 'not needed any more',
};

/** "3 people", "1 person" */
export function peopleWords(count: number): string {
  return `${count} ${count === 1 ? 'person' : 'people'}`;
}

/** "4 walks", "1 walk" */
export function walkWords(count: number): string {
  return `${count} ${count === 1 ? 'walk' : 'walks'}`;
}
