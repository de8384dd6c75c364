import { fromMetres, type Units } from '../calc/measure.js';
import { averageParty, type Figures } from './figures.js';

/** One figure of the report: its head, and what it counts, in words. */
export interface Column {
  label: string;
  meaning: string;
  /** Unrounded; null where there is none. */
  value: (figures: Figures) => number | null;
  /** Digits behind the point that are shown. */
  digits: number;
}

/** The figures of the report in their order: the page's tables, its foot and the CSV are made from this list. Pure. */
export function columnsOf(units: Units) {
  const [mile, Miles] = units === 'mi' ? ['mile', 'Miles'] : ['kilometre', 'Kilometres'];
  return {
    led: column('Walks led', 'Posted walks that set off and were not cancelled.', ({ led }) => led),
    safety: column(
      'Cancelled for safety',
      'Posted walks that were called off for safety. They count as kept in commitments.',
      ({ safety }) => safety,
    ),
    other: column('Cancelled otherwise', 'Posted walks that were called off for any other reason.', ({ other }) => other),
    metres: column(Miles, 'The lengths of the walks led, each walk once.', ({ metres }) => fromMetres(metres, units), 1),
    people: column(
      'People',
      'Who walked, by what was settled as each walk was closed; of a walk led that nobody closed, everyone with a confirmed place. Somebody who is on three walks counts three times.',
      ({ people }) => people,
    ),
    personMetres: column(
      `Person-${Miles.toLowerCase()}`,
      `How far each of these people walked, added up; of a walk that nobody closed, as if each walked every ${mile} of it.`,
      ({ personMetres }) => fromMetres(personMetres, units),
    ),
    minors: column('Minors', 'Of the people, those under 18.', ({ minors }) => minors),
    firstTimers: column(
      'First-timers',
      'E-mail addresses that came along on a walk led for the first time ever; a family that shares one is one. Addresses erased since then are left out.',
      ({ firstTimers }) => firstTimers,
    ),
    leaders: column(
      'Leaders',
      'People who led or shared a walk led. Each counts once in a total, so totals can be less than the figures beside them come to.',
      ({ leaders }) => leaders.size,
    ),
    party: column('Average party', 'People to a sign-up on the walks led.', averageParty, 1),
  } satisfies Record<string, Column>;
}

function column(label: string, meaning: string, value: Column['value'], digits = 0): Column {
  return { label, meaning, value, digits };
}

/** A figure as it is written: "1,204", "38.5"; "–" where there is none. Pure. */
export function written({ value, digits }: Column, figures: Figures, locale: string): string {
  const figure = value(figures);
  if (figure === null) return '–';
  if (figure === 0) return '0';
  return figure.toLocaleString(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits });
}
