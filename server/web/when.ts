import type { GroupSettings } from '../settings/rules.js';
import { keptIn } from './kept.js';

type Style = 'clock' | 'weekday' | 'day' | 'month' | 'longMonth' | 'monthYear' | 'monthDay' | 'date' | 'fullDate' | 'zone' | 'iso';

const formats = new Map<string, Intl.DateTimeFormat>();

/** One formatter a locale, zone and style: making one costs more than the query that found the time. */
function format(locale: string, zone: string, style: Style, clock: 12 | 24): Intl.DateTimeFormat {
  const key = `${locale}|${zone}|${style}|${clock}`;
  let made = formats.get(key);
  if (!made) {
    made = new Intl.DateTimeFormat(locale, {
      timeZone: zone,
      ...OPTIONS[style],
      ...(style === 'clock' ? CLOCKS[clock] : {}),
    });
    formats.set(key, made);
  }
  return made;
}

const OPTIONS: Record<Style, Intl.DateTimeFormatOptions> = {
  clock: { hour: 'numeric', minute: '2-digit' },
  weekday: { weekday: 'short' },
  day: { day: 'numeric' },
  month: { month: 'short' },
  longMonth: { month: 'long' },
  monthYear: { month: 'long', year: 'numeric' },
  monthDay: { month: 'short', day: 'numeric' },
  date: { weekday: 'short', month: 'short', day: 'numeric' },
  fullDate: { weekday: 'short', month: 'short', day: 'numeric', year: 'numeric' },
  zone: { timeZoneName: 'short' },
  iso: {},
};

const CLOCKS: Record<12 | 24, Intl.DateTimeFormatOptions> = { 12: { hourCycle: 'h12' }, 24: { hourCycle: 'h23', hour: '2-digit' } };
/** Each of these countries has abbreviations for its own zones only; elsewhere it writes "GMT-5". */
const ZONE_LOCALES = ['en-US', 'en-GB', 'en-AU', 'en-NZ', 'en-IN', 'en-ZA'];

/** "EST": the abbreviation that the group's own country has for a zone, or else the zone's country. */
function zoneName(at: number, zone: string, locale: string): string {
  const nameIn = (one: string) => {
    const parts = format(one, zone, 'zone', 24).formatToParts(at);
    return parts.find((part) => part.type === 'timeZoneName')?.value ?? zone;
  };
  const own = nameIn(locale);
  if (isAbbreviation(own)) return own;
  for (const one of ZONE_LOCALES) {
    const name = nameIn(one);
    if (isAbbreviation(name)) return name;
  }
  return own;
}

function isAbbreviation(name: string): boolean {
  return !/^(GMT|UTC)[+-]/.test(name);
}

/** An instant as people read it: every shown time carries weekday, date, clock and zone; `iso` goes into `<time datetime>`. */
export interface When {
  iso: string;
  weekday: string;
  day: string;
  month: string;
  /** "Sat, Nov 28" */
  date: string;
  /** "Sat, Nov 28, 2026" */
  fullDate: string;
  /** "8:45" and "AM" ("" on the 24-hour clock) */
  hour: string;
  half: string;
  /** "8:45 AM", joined by a no-break space */
  clock: string;
  /** "EST" */
  zone: string;
}

const MOST_KEPT = 5000;
const known = new Map<string, When>();

/** Formatting costs more than the query that found the time, and pages show few distinct times: each is worked out once. @param at ms UTC @param zone IANA */
export function when(at: number, zone: string, settings: Pick<GroupSettings, 'locale' | 'clock'>): When {
  const key = `${at}|${zone}|${settings.locale}|${settings.clock}`;
  return keptIn(known, MOST_KEPT, key, () => makeWhen(at, zone, settings));
}

function makeWhen(at: number, zone: string, { locale, clock }: Pick<GroupSettings, 'locale' | 'clock'>): When {
  const as = (style: Style) => format(locale, zone, style, clock).format(at);
  const parts = format(locale, zone, 'clock', clock).formatToParts(at);
  const half = parts.find((part) => part.type === 'dayPeriod')?.value ?? '';
  const hour = parts
    .filter((part) => part.type === 'hour' || part.type === 'minute' || (part.type === 'literal' && part.value.trim() !== ''))
    .map((part) => part.value)
    .join('');
  return {
    iso: new Date(at).toISOString(),
    weekday: as('weekday'),
    day: as('day'),
    month: as('month'),
    date: as('date'),
    fullDate: as('fullDate'),
    hour,
    half,
    clock: half ? `${hour} ${half}` : hour,
    zone: zoneName(at, zone, locale),
  };
}

/** An instant (ms) as programs read it, in UTC; null where there is none. */
export function iso(at: number | null): string | null {
  return at === null ? null : new Date(at).toISOString();
}

/** "Sat, Nov 28, 2026, 8:45 AM EST": for mails, titles and running text. */
export function fullWhen(at: number, zone: string, settings: Pick<GroupSettings, 'locale' | 'clock'>): string {
  const shown = when(at, zone, settings);
  return `${shown.fullDate}, ${shown.clock} ${shown.zone}`;
}

/** "Mon, Nov 30" for a date YYYY-MM-DD, which has no zone. */
export function dateWords(date: string, locale: string): string {
  return format(locale, 'UTC', 'date', 24).format(Date.parse(date));
}

/** "December 2026" for a month YYYY-MM. */
export function monthWords(month: string, locale: string): string {
  return format(locale, 'UTC', 'monthYear', 24).format(middleOf(month));
}

/** "Dec" and "2026" for a month YYYY-MM. */
export function monthName(month: string, locale: string): { name: string; year: string } {
  const at = middleOf(month);
  return { name: format(locale, 'UTC', 'month', 24).format(at), year: String(new Date(at).getUTCFullYear()) };
}

/** "December" for a month YYYY-MM. */
export function longMonth(month: string, locale: string): string {
  return format(locale, 'UTC', 'longMonth', 24).format(middleOf(month));
}

function middleOf(month: string): number {
  const [year = 0, number = 1] = month.split('-').map(Number);
  return new Date(0).setUTCFullYear(year, number - 1, 15);
}

/** "May 17" or "17 May" for a date YYYY-MM-DD, where its year is known from what stands around it. */
export function monthDay(date: string, locale: string): string {
  return format(locale, 'UTC', 'monthDay', 24).format(Date.parse(`${date}T00:00:00Z`));
}

/** "Nov 23 – 29" or "23–29 Nov" for two dates YYYY-MM-DD whose years are known from what stands around them. */
export function dayRange(from: string, to: string, locale: string): string {
  // Over New Year the format would say both years.
  if (from.slice(0, 4) !== to.slice(0, 4)) return `${monthDay(from, locale)} – ${monthDay(to, locale)}`;
  return format(locale, 'UTC', 'monthDay', 24).formatRange(Date.parse(from), Date.parse(to));
}
