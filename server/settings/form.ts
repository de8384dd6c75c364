import { fromMetres, minutesAMile, paceFrom, toMetres, type Units } from '../calc/measure.js';
import { WISH_BOUNDS } from '../calc/plan.js';
import { wishOf } from '../plan/wish.js';
import { type Faults, figure, isDate, line, type Typed } from '../web/forms.js';
import { type GroupSettings, LOCALES } from './rules.js';

const MINUTE_MS = 60_000;
const LONGEST_NAME = 80;
const PACE = { least: 8, most: 60 } as const;
const MOST_FLOOR = 60;
const MOST_FARTHEST = 500;
const LONGEST_HOLD_MINUTES = 60;

/** Whole numbers that came later than the form: one posted from an older tab, or by a program, lacks them, and they stay as they are. */
const LATER = {
  eventDays: { least: 1, most: 30, what: 'how many days' },
  commitmentDay: { least: 0, most: 28, what: 'the day of the month, or 0 for no mail' },
  contactsFromHours: { least: 1, most: 72, what: 'hours' },
  contactsUntilHours: { least: 1, most: 168, what: 'hours' },
  contactsKeptDays: { least: 1, most: 365, what: 'days' },
  quizQuestions: { least: 1, most: 50, what: 'how many questions' },
  quizPassPercent: { least: 1, most: 100, what: 'per cent' },
  agreementMonths: { least: 1, most: 36, what: 'months' },
  overPledge: { least: 0, most: 10, what: 'how many walks' },
} as const;

type Later = keyof typeof LATER;
export const LATER_FIELDS = Object.keys(LATER) as Later[];
const HOURS_A_DAY = 24;

export const SETTINGS_LABELS: Record<string, string> = {
  groupName: 'Name of the group',
  units: 'Distances',
  eventName: 'The event',
  eventDay: 'Its first day',
  eventDays: 'How many days it lasts',
  locale: 'Country',
  fastPace: 'Fastest',
  slowPace: 'Slowest',
  floorWalks: 'Walks a month',
  hold: 'Minutes to wait',
  commitmentDay: 'Day of the monthly mail',
  contactsFromHours: 'Open before gathering',
  contactsUntilHours: 'Open after the walk',
  contactsKeptDays: 'Days kept',
  quizQuestions: 'Quiz: questions an attempt',
  quizPassPercent: 'Right answers to pass',
  agreementMonths: "Months of a leader's agreement",
  overPledge: 'Walks beyond the pledge',
  oneAWeekend: 'Walks a weekend',
  farthest: 'Farthest from the home area',
};

/** Minutes a mile as the group counts: whole for a mile, to a tenth for a kilometre. */
function shownPace(pace: number, units: Units): string {
  return String(units === 'mi' ? pace : Math.round(paceFrom(pace, units) * 10) / 10);
}

/** The form's fields as they stand. */
export function typedSettings(settings: GroupSettings): Typed {
  const { groupName, eventName, eventDay, units, locale } = settings;
  return {
    groupName,
    eventName,
    eventDay,
    units,
    locale,
    clock: String(settings.clock),
    fastPace: shownPace(settings.fastPace, units),
    slowPace: shownPace(settings.slowPace, units),
    floorWalks: String(settings.floorWalks),
    hold: String(settings.noticeHoldMs / MINUTE_MS),
    oneAWeekend: settings.oneAWeekend ? 'yes' : 'no',
    farthest: shownFarthest(settings),
    ...Object.fromEntries(LATER_FIELDS.map((field) => [field, String(settings[field])])),
  };
}

/** Reads the group's settings form. Pure. */
export function readSettings(typed: Typed, now: GroupSettings): { settings: GroupSettings } | { faults: Faults } {
  const faults: Faults = {};
  const groupName = line(typed, 'groupName');
  if (!/\p{L}/u.test(groupName)) faults.groupName = 'Type the name of the group.';
  if (groupName.length > LONGEST_NAME) faults.groupName = `Keep the name under ${LONGEST_NAME} characters.`;
  // The event moved to the season's own page: a form from before says it still.
  const eventName = typed.eventName === undefined ? now.eventName : line(typed, 'eventName');
  if (eventName.length > LONGEST_NAME) faults.eventName = `Keep the name under ${LONGEST_NAME} characters.`;
  const eventDay = typed.eventDay === undefined ? now.eventDay : line(typed, 'eventDay');
  if (eventDay !== '' && !isDate(eventDay)) faults.eventDay = 'That date does not exist. Type it as YYYY-MM-DD, or leave it empty.';
  const whole = (field: string, least: number, most: number, what: string) => {
    const value = /^\d{1,3}$/.test(line(typed, field)) ? Number(line(typed, field)) : Number.NaN;
    if (!(value >= least && value <= most)) faults[field] = `Type ${what}: ${least} to ${most}.`;
    return value;
  };
  const fastPace = readPace(typed, 'fastPace', now, faults);
  const slowPace = readPace(typed, 'slowPace', now, faults);
  if (slowPace < fastPace) faults.slowPace = 'The slowest take more minutes than the fastest.';
  const floorWalks = whole('floorWalks', 0, MOST_FLOOR, 'how many walks');
  const hold = whole('hold', 0, LONGEST_HOLD_MINUTES, 'minutes');
  const farthestMetres = readFarthest(typed, now, faults);
  const later = readLater(typed, now, whole, faults);
  const units = line(typed, 'units') === 'km' ? 'km' : 'mi';
  if (units !== now.units && wishOf(now) !== null && wishOf({ ...now, units }) === null) {
    const { least, most } = WISH_BOUNDS.day[units];
    faults.units = `The season plan takes days of ${least} to ${most} ${units}. Change the length of a day on the season's page first.`;
  }
  const locale = [now.locale, ...LOCALES.map(([value]) => value)].find((one) => one === line(typed, 'locale'));
  if (locale === undefined) faults.locale = 'Choose one of the list.';
  if (Object.keys(faults).length > 0 || locale === undefined) return { faults };
  const clock = line(typed, 'clock') === '24' ? 24 : 12;
  return {
    settings: {
      groupName,
      eventName,
      eventDay,
      units,
      clock,
      locale,
      slowPace,
      fastPace,
      floorWalks,
      noticeHoldMs: hold * MINUTE_MS,
      pastSeasonEnd: now.pastSeasonEnd,
      eventSetAt: now.eventSetAt,
      eventDayMetres: now.eventDayMetres,
      seasonWeeks: now.seasonWeeks,
      weekdayWalks: now.weekdayWalks,
      slotToleranceShare: now.slotToleranceShare,
      slotToleranceMetres: now.slotToleranceMetres,
      planVersion: now.planVersion,
      planChangedAt: now.planChangedAt,
      ...later,
      oneAWeekend: typed.oneAWeekend === undefined ? now.oneAWeekend : line(typed, 'oneAWeekend') !== 'no',
      farthestMetres,
    },
  };
}

type Whole = (field: string, least: number, most: number, what: string) => number;

function readLater(typed: Typed, now: GroupSettings, whole: Whole, faults: Faults): Pick<GroupSettings, Later> {
  const one = (field: Later) =>
    typed[field] === undefined ? now[field] : whole(field, LATER[field].least, LATER[field].most, LATER[field].what);
  const read = {
    eventDays: one('eventDays'),
    commitmentDay: one('commitmentDay'),
    contactsFromHours: one('contactsFromHours'),
    contactsUntilHours: one('contactsUntilHours'),
    contactsKeptDays: one('contactsKeptDays'),
    quizQuestions: one('quizQuestions'),
    quizPassPercent: one('quizPassPercent'),
    agreementMonths: one('agreementMonths'),
    overPledge: one('overPledge'),
  };
  if ('contactsUntilHours' in faults || 'contactsKeptDays' in faults) return read;
  // What is removed sooner could not be opened for as long as the form says.
  const least = Math.ceil(read.contactsUntilHours / HOURS_A_DAY);
  if (read.contactsKeptDays < least) faults.contactsKeptDays = `Keep them as long as leaders may open them: ${least} days at least.`;
  return read;
}

/** The distance in the unit the form is shown in, to a tenth. */
function shownFarthest({ farthestMetres, units }: Pick<GroupSettings, 'farthestMetres' | 'units'>): string {
  return String(Math.round(fromMetres(farthestMetres, units) * 10) / 10);
}

/** Metres, typed in the unit that the form was shown in; what was not touched stays to the last one. */
function readFarthest(typed: Typed, now: GroupSettings, faults: Faults): number {
  const text = line(typed, 'farthest');
  if (typed.farthest === undefined || text === shownFarthest(now)) return now.farthestMetres;
  const value = figure(text);
  if (value !== null && value >= 0 && value <= MOST_FARTHEST) return toMetres(value, now.units);
  faults.farthest = `Type ${now.units === 'mi' ? 'miles' : 'kilometres'}: 0 to ${MOST_FARTHEST}, 0 for any distance.`;
  return now.farthestMetres;
}

/** Minutes a mile. Typed in the unit that the form was shown in; what was not touched stays to the last decimal. */
function readPace(typed: Typed, field: 'fastPace' | 'slowPace', now: GroupSettings, faults: Faults): number {
  if (line(typed, field) === shownPace(now[field], now.units)) return now[field];
  const pace = figure(line(typed, field));
  const minutes = pace === null ? Number.NaN : minutesAMile(pace, now.units);
  if (minutes >= PACE.least && minutes <= PACE.most) return minutes;
  const [least, most] = [PACE.least, PACE.most].map((bound) => Math.round(paceFrom(bound, now.units)));
  faults[field] = `Type minutes a ${now.units === 'mi' ? 'mile' : 'kilometre'}: ${least} to ${most}.`;
  return now[field];
}
