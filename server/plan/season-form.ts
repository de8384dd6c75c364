import { fromMetres, toMetres } from '../calc/measure.js';
import { WISH_BOUNDS } from '../calc/plan.js';
import type { GroupSettings } from '../settings/rules.js';
import { type Faults, figure, isDate, line, type Typed } from '../web/forms.js';

const LONGEST_NAME = 80;
const MOST_SHARE_PERCENT = 50;
const MOST_TOLERANCE = 10;

export const SEASON_LABELS: Record<string, string> = {
  eventName: 'The event',
  eventDay: 'Its first day',
  eventDays: 'How many days it lasts',
  dayLength: 'Length of a day',
  seasonWeeks: 'Weeks',
  weekdayWalks: 'Weekday walks',
  toleranceShare: 'Share',
  toleranceLength: 'Length',
};

/** What the season's form changes. */
export type SeasonSettings = Pick<
  GroupSettings,
  'eventName' | 'eventDay' | 'eventDays' | 'eventDayMetres' | 'seasonWeeks' | 'weekdayWalks' | 'slotToleranceShare' | 'slotToleranceMetres'
>;

type SeasonFields = Record<keyof typeof SEASON_LABELS, string>;

/** The form's fields as they stand; lengths in the group's unit. */
export function typedSeason(settings: GroupSettings): SeasonFields {
  const length = (metres: number) => String(Math.round(fromMetres(metres, settings.units) * 100) / 100);
  return {
    eventName: settings.eventName,
    eventDay: settings.eventDay,
    eventDays: String(settings.eventDays),
    dayLength: settings.eventDayMetres === 0 ? '' : length(settings.eventDayMetres),
    seasonWeeks: String(settings.seasonWeeks),
    weekdayWalks: String(settings.weekdayWalks),
    toleranceShare: String(Math.round(settings.slotToleranceShare * 100)),
    toleranceLength: length(settings.slotToleranceMetres),
  };
}

/** The fields in one line: a form carries those that it was opened with, so that a change made meanwhile is seen. */
export function seenSeason(settings: GroupSettings): string {
  return Object.values(typedSeason(settings)).join('|');
}

/** Whether a form was opened at what stands; one that does not say so, from a program, is taken. Pure. */
export function isOpenedAt(typed: Typed, seen: string): boolean {
  return typed.seen === undefined || line(typed, 'seen') === line({ seen }, 'seen');
}

/** Reads the season's form; a field that was not sent, or was not touched, stays as it is to the last metre. Pure. */
export function readSeason(typed: Typed, now: GroupSettings): { season: SeasonSettings } | { faults: Faults } {
  const faults: Faults = {};
  const standing = typedSeason(now);
  const { units } = now;
  const isTouched = (field: keyof SeasonFields) => typed[field] !== undefined && line(typed, field) !== standing[field];

  function whole(field: keyof SeasonFields, stays: number, { least, most }: { least: number; most: number }, what: string): number {
    if (!isTouched(field)) return stays;
    const value = /^\d{1,3}$/.test(line(typed, field)) ? Number(line(typed, field)) : Number.NaN;
    if (!(value >= least && value <= most)) faults[field] = `Type ${what}: ${least} to ${most}.`;
    return value;
  }

  function length(field: keyof SeasonFields, stays: number, { least, most }: { least: number; most: number }, also = ''): number {
    if (!isTouched(field)) return stays;
    const value = figure(line(typed, field)) ?? Number.NaN;
    if (!(value >= least && value <= most)) faults[field] = `Type ${units === 'mi' ? 'miles' : 'kilometres'}: ${least} to ${most}${also}.`;
    return toMetres(value, units);
  }

  const season: SeasonSettings = {
    eventName: typed.eventName === undefined ? now.eventName : line(typed, 'eventName'),
    eventDay: readEventDay(typed, now, faults),
    eventDays: whole('eventDays', now.eventDays, WISH_BOUNDS.eventDays, 'how many days'),
    eventDayMetres:
      isTouched('dayLength') && line(typed, 'dayLength') === ''
        ? 0
        : length('dayLength', now.eventDayMetres, WISH_BOUNDS.day[units], ', or leave it empty'),
    seasonWeeks: whole('seasonWeeks', now.seasonWeeks, WISH_BOUNDS.weeks, 'how many weeks'),
    weekdayWalks: whole('weekdayWalks', now.weekdayWalks, WISH_BOUNDS.weekdayWalks, 'how many walks'),
    slotToleranceShare: isTouched('toleranceShare')
      ? whole('toleranceShare', 0, { least: 0, most: MOST_SHARE_PERCENT }, 'per cent') / 100
      : now.slotToleranceShare,
    slotToleranceMetres: length('toleranceLength', now.slotToleranceMetres, { least: 0, most: MOST_TOLERANCE }),
  };
  if (season.eventName.length > LONGEST_NAME) faults.eventName = `Keep the name under ${LONGEST_NAME} characters.`;
  if (season.eventDay === '' && season.eventDayMetres !== 0 && !faults.eventDay) {
    faults.eventDay = 'Type the first day: the plan is worked out back from it. Without a plan, leave the length of a day empty.';
  }
  return Object.keys(faults).length > 0 ? { faults } : { season };
}

function readEventDay(typed: Typed, now: GroupSettings, faults: Faults): string {
  if (typed.eventDay === undefined) return now.eventDay;
  const day = line(typed, 'eventDay');
  const { least, most } = WISH_BOUNDS.eventDay;
  if (day === '' || day === now.eventDay) return day;
  if (!isDate(day)) faults.eventDay = 'That date does not exist. Type it as YYYY-MM-DD, or leave it empty.';
  else if (day < least || day > most) faults.eventDay = `Type a year from ${least.slice(0, 4)} to ${most.slice(0, 4)}.`;
  return day;
}
