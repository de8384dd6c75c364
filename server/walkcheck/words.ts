import { climbFigure, fromMetres, lengthWords, type Units } from '../calc/measure.js';
import { wallOf } from '../calc/zone.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from '../walks/facts.js';
import { when } from '../web/when.js';

const MINUTE_MS = 60_000;
/** No sentence names more than this many of a kind. */
const MOST_NAMED = 3;

/** How the check says figures: in the group's units, on the group's clock. */
export interface CheckWords {
  units: Units;
  /** "5.8 mi" */
  length(metres: number): string;
  /** "5.8 mi", with as many decimals as tell it from the limit it is over: "5.02 mi". */
  over(metres: number, limitMetres: number): string;
  /** "520 ft" */
  climb(metres: number): string;
  /** "the start", "mile 2.4", "km 3.9", "the finish" */
  place(metres: number): string;
  /** "4:23 PM EST"; the date before it, where it is not the walk's own. */
  clock(at: number): string;
  /** "Sat, Apr 17, 2027", from YYYY-MM-DD. */
  day(date: string): string;
}

export function checkWords(facts: WalkFacts, settings: GroupSettings): CheckWords {
  const { units } = settings;
  const figure = (metres: number, decimals = 1) => fromMetres(metres, units).toFixed(decimals);
  return {
    units,
    length: (metres) => lengthWords(metres, units),
    over: (metres, limitMetres) => {
      const decimals = [1, 2, 3].find((one) => figure(metres, one) !== figure(limitMetres, one)) ?? 3;
      return `${figure(metres, decimals)} ${units}`;
    },
    climb: (metres) => climbFigure(metres, units, settings.locale),
    place: (metres) => {
      if (metres <= 0) return 'the start';
      if (metres >= facts.distanceMetres) return 'the finish';
      return `${units === 'mi' ? 'mile' : 'km'} ${figure(metres)}`;
    },
    clock: (at) => {
      const shown = when(at, facts.zone, settings);
      const clock = `${shown.clock} ${shown.zone}`;
      return wallOf(at, facts.zone).date === facts.date ? clock : `${shown.date}, ${clock}`;
    },
    day: (date) => when(Date.parse(date), 'UTC', settings).fullDate,
  };
}

/** "18 minutes", "1 h 18 min": between two instants, as their clocks show them. */
export function minutesBetween(from: number, to: number): string {
  const minutes = wholeMinute(to) - wholeMinute(from);
  if (minutes < 60) return minutes === 1 ? '1 minute' : `${minutes} minutes`;
  const rest = minutes % 60;
  return rest === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${rest} min`;
}

/** The minute that a clock shows at an instant: 4:23 until it is 4:24. */
export function wholeMinute(at: number): number {
  return Math.floor(at / MINUTE_MS);
}

/** "A, B and C", or "A, B, C and 4 more". */
export function listed(names: string[], and: 'and' | 'nor' = 'and'): string {
  const shown = names.length > MOST_NAMED ? [...names.slice(0, MOST_NAMED), `${names.length - MOST_NAMED} more`] : names;
  return shown.length < 2 ? shown.join('') : `${shown.slice(0, -1).join(', ')} ${and} ${shown[shown.length - 1]}`;
}
