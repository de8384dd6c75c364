import { isDate } from '../walks/form.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { type GroupSettings, LOCALES } from './rules.js';

const MINUTE_MS = 60_000;
const LONGEST_NAME = 80;
const PACE = { least: 8, most: 60 } as const;
const MOST_FLOOR = 60;
const LONGEST_HOLD_MINUTES = 60;

export const SETTINGS_LABELS: Record<string, string> = {
  groupName: 'Name of the group',
  eventName: 'The event',
  eventDay: 'Its first day',
  locale: 'Country',
  fastPace: 'Fastest',
  slowPace: 'Slowest',
  floorWalks: 'Walks a month',
  hold: 'Minutes to wait',
};

/** The form's fields as they stand. */
export function typedSettings(settings: GroupSettings): Typed {
  const { groupName, eventName, eventDay, units, locale } = settings;
  const figures = { clock: settings.clock, slowPace: settings.slowPace, fastPace: settings.fastPace, floorWalks: settings.floorWalks };
  const texts = Object.fromEntries(Object.entries(figures).map(([name, value]) => [name, String(value)]));
  return { groupName, eventName, eventDay, units, locale, ...texts, hold: String(settings.noticeHoldMs / MINUTE_MS) };
}

/** Reads the group's settings form. Pure. */
export function readSettings(typed: Typed, now: GroupSettings): { settings: GroupSettings } | { faults: Faults } {
  const faults: Faults = {};
  const groupName = line(typed, 'groupName');
  if (!/\p{L}/u.test(groupName)) faults.groupName = 'Type the name of the group.';
  if (groupName.length > LONGEST_NAME) faults.groupName = `Keep the name under ${LONGEST_NAME} characters.`;
  const eventName = line(typed, 'eventName');
  if (eventName.length > LONGEST_NAME) faults.eventName = `Keep the name under ${LONGEST_NAME} characters.`;
  const eventDay = line(typed, 'eventDay');
  if (eventDay !== '' && !isDate(eventDay)) faults.eventDay = 'That date does not exist. Type it as YYYY-MM-DD, or leave it empty.';
  const whole = (field: string, least: number, most: number, what: string) => {
    const value = /^\d{1,3}$/.test(line(typed, field)) ? Number(line(typed, field)) : Number.NaN;
    if (!(value >= least && value <= most)) faults[field] = `Type ${what}: ${least} to ${most}.`;
    return value;
  };
  const fastPace = whole('fastPace', PACE.least, PACE.most, 'minutes a mile');
  const slowPace = whole('slowPace', PACE.least, PACE.most, 'minutes a mile');
  if (slowPace < fastPace) faults.slowPace = 'The slowest take more minutes than the fastest.';
  const floorWalks = whole('floorWalks', 0, MOST_FLOOR, 'how many walks');
  const hold = whole('hold', 0, LONGEST_HOLD_MINUTES, 'minutes');
  const locale = [now.locale, ...LOCALES.map(([value]) => value)].find((one) => one === line(typed, 'locale'));
  if (locale === undefined) faults.locale = 'Choose one of the list.';
  if (Object.keys(faults).length > 0 || locale === undefined) return { faults };
  const units = line(typed, 'units') === 'km' ? 'km' : 'mi';
  const clock = line(typed, 'clock') === '24' ? 24 : 12;
  return {
    settings: { groupName, eventName, eventDay, units, clock, locale, slowPace, fastPace, floorWalks, noticeHoldMs: hold * MINUTE_MS },
  };
}
