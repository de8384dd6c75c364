import { toMetres, type Units } from '../calc/measure.js';
import type { SeasonPlan } from '../calc/plan.js';
import { planWeekOf } from '../calc/plan-slots.js';
import { type Band, bandsOf } from '../plan/fits.js';
import type { GroupSettings } from '../settings/rules.js';
import { type Faults, isDate, line, several, type Typed } from '../web/forms.js';
import { SURFACES } from './facts.js';

/** The days a visitor can ask for, as SQLite counts them (0 is Sunday). */
export const DAYS: Record<string, number[]> = {
  mon: [1],
  tue: [2],
  wed: [3],
  thu: [4],
  fri: [5],
  sat: [6],
  sun: [0],
  weekday: [1, 2, 3, 4, 5],
  weekend: [0, 6],
};

/** Which walks a visitor asked for. A value that can't be read is left out, and said so in `faults`. */
export interface WalkFilter {
  area: string | null;
  from: string | null;
  to: string | null;
  minMetres: number | null;
  maxMetres: number | null;
  days: number[];
  surface: string | null;
  stepFree: boolean;
  /** Days and lengths that suit the asked week of the season plan; null where none was asked for. */
  bands: Band[] | null;
}

/** What a filter is read against. */
export interface FilterGround {
  settings: GroupSettings;
  areaSlugs: string[];
  plan: SeasonPlan | null;
  /** YYYY-MM-DD */
  today: string;
}

/**
 * Reads the timetable's query: `area, from, to, min, max, day, surface, stepfree, week` (of the season plan: its number, or `this`); lengths in the group's unit. `isSwapped`: the shorter
 * length stood where the longer belongs, and they changed places.
 */
export function readFilter(query: Typed, ground: FilterGround): { filter: WalkFilter; faults: Faults; isSwapped: boolean } {
  const faults: Faults = {};
  const { areaSlugs } = ground;
  const { units } = ground.settings;
  const area = line(query, 'area');
  if (area !== '' && !areaSlugs.includes(area)) faults.area = 'There is no such area; walks of all areas are shown.';
  const surface = line(query, 'surface');
  const [shortest, longest] = [readLength(query, 'min', units, faults), readLength(query, 'max', units, faults)];
  const isSwapped = shortest !== null && longest !== null && shortest > longest;
  if (isSwapped) faults.min = 'From was longer than up to, so they are swapped.';
  const days = several(query, 'day').flatMap((day) => (Object.hasOwn(DAYS, day) ? (DAYS[day] ?? []) : []));
  return {
    filter: {
      area: areaSlugs.includes(area) ? area : null,
      from: readDay(query, 'from', faults),
      to: readDay(query, 'to', faults),
      minMetres: isSwapped ? longest : shortest,
      maxMetres: isSwapped ? shortest : longest,
      days: [...new Set(days)],
      surface: (SURFACES as readonly string[]).includes(surface) ? surface : null,
      stepFree: line(query, 'stepfree') !== '',
      bands: readBands(query, ground, faults),
    },
    faults,
    isSwapped,
  };
}

function readBands(query: Typed, { plan, settings, today }: FilterGround, faults: Faults): Band[] | null {
  const asked = line(query, 'week');
  if (asked === '') return null;
  const here = plan && asked === 'this' ? planWeekOf(plan, today) : null;
  const week = here !== null && typeof here === 'object' ? here : plan?.weeks.find(({ number }) => String(number) === asked);
  if (plan && week) return bandsOf(week, plan, settings);
  faults.week = 'The season plan has no such week, so walks of all lengths are shown.';
  return null;
}

function readDay(query: Typed, field: string, faults: Faults): string | null {
  const day = line(query, field);
  if (day === '') return null;
  if (isDate(day)) return day;
  faults[field] = 'That date could not be read, so it is left out.';
  return null;
}

function readLength(query: Typed, field: string, units: Units, faults: Faults): number | null {
  const length = line(query, field);
  if (length === '') return null;
  if (/^\d{1,3}([.,]\d{1,2})?$/.test(length)) return toMetres(Number(length.replace(',', '.')), units);
  faults[field] = 'That length could not be read, so it is left out.';
  return null;
}
