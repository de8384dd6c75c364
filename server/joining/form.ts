import { fromMetres, toMetres, type Units } from '../calc/measure.js';
import { type Faults, figure, isDate, line, lines, several, type Typed, ticked } from '../web/forms.js';
import { countryOf, readPhone } from '../web/phone.js';
import { dayChoices, readDays } from './weekdays.js';

/** Longer than this nobody leads on foot in a day. */
const LONGEST_METRES = 100_000;
const LONGEST_NAME = 80;
export const MOST_CHARACTERS = 2000;

/** What someone applies with. */
export interface ApplicationForm {
  name: string;
  /** E.164 */
  phone: string;
  areaId: number;
  why: string;
  /** 1 is Monday. */
  days: number[];
  longestMetres: number;
  otherAreas: number[];
}

interface Around {
  areas: { id: number; slug: string }[];
  units: Units;
  locale: string;
}

/** Reads an application. Pure. */
export function readApplication(typed: Typed, { areas, units, locale }: Around): { form: ApplicationForm } | { faults: Faults } {
  const faults: Faults = {};
  const name = line(typed, 'name');
  if (!/\p{L}/u.test(name)) faults.name = 'Type your name.';
  else if (name.length > LONGEST_NAME) faults.name = `Keep the name under ${LONGEST_NAME} characters.`;
  const phone = readPhone(line(typed, 'phone'), countryOf(locale));
  if ('fault' in phone) faults.phone = `${phone.fault} Walkers phone it on the day.`;
  const area = areas.find((one) => one.slug === line(typed, 'area'));
  if (!area) faults.area = 'Choose the area you would lead in most.';
  const why = readWords(typed, 'why', 'Say in a sentence or two why you would like to lead.', faults);
  const days = readDays(several(typed, 'days'));
  if (days.length === 0) faults.days = 'Tick at least one day.';
  const longestMetres = readLength(typed, 'longest', units, faults) ?? 0;
  if (longestMetres === 0) faults.longest ??= `Type the longest walk you would lead, in ${units === 'mi' ? 'miles' : 'kilometres'}.`;
  if (Object.keys(faults).length > 0 || !area || 'fault' in phone) return { faults };
  const otherAreas = readAreas(typed, areas, area.id);
  return { form: { name, phone: phone.e164, areaId: area.id, why, days, longestMetres, otherAreas } };
}

/** What a leader says of themself as one. */
export interface AboutForm {
  areaId: number;
  otherAreas: number[];
  days: number[];
  longestMetres: number | null;
  shortestMetres: number | null;
  /** YYYY-MM-DD */
  firstAidUntil: string | null;
  offersFirst: boolean;
}

/** Reads what a leader says of themself; lengths, days and certificate may stay empty. Pure. */
export function readAbout(typed: Typed, { areas, units }: Omit<Around, 'locale'>): { form: AboutForm } | { faults: Faults } {
  const faults: Faults = {};
  const area = areas.find((one) => one.slug === line(typed, 'area'));
  if (!area) faults.area = 'Choose the area you lead in most.';
  const longestMetres = readLength(typed, 'longest', units, faults);
  const shortestMetres = readLength(typed, 'shortest', units, faults);
  if (longestMetres !== null && shortestMetres !== null && shortestMetres > longestMetres)
    faults.shortest = 'The shortest is longer than the longest.';
  const firstAid = line(typed, 'firstAidUntil');
  if (firstAid !== '' && !isDate(firstAid)) faults.firstAidUntil = 'That date does not exist. Type it as YYYY-MM-DD, or leave it empty.';
  if (Object.keys(faults).length > 0 || !area) return { faults };
  return {
    form: {
      areaId: area.id,
      otherAreas: readAreas(typed, areas, area.id),
      days: readDays(several(typed, 'days')),
      longestMetres,
      shortestMetres,
      firstAidUntil: firstAid === '' ? null : firstAid,
      offersFirst: ticked(typed, 'offersFirst'),
    },
  };
}

/** Several lines that must say something. Adds to `faults`. */
export function readWords(typed: Typed, field: string, sentence: string, faults: Faults): string {
  const text = lines(typed, field);
  if (!/[\p{L}\p{N}]/u.test(text)) faults[field] = sentence;
  else if (text.length > MOST_CHARACTERS) faults[field] = `Keep it under ${MOST_CHARACTERS} characters; it has ${text.length}.`;
  return text;
}

/** What applying and "about you" ask alike, as it is shown: home area, other areas (all of them while no home is chosen), days. Pure. */
export function placeAndDays(typed: Typed, areas: { slug: string; name: string }[], units: Units) {
  const home = line(typed, 'area');
  const named = several(typed, 'otherAreas');
  return {
    areas: areas.map(({ slug, name }) => ({ value: slug, label: name, selected: slug === home })),
    others: areas
      .filter(({ slug }) => slug !== home)
      .map(({ slug, name }) => ({ value: slug, label: name, checked: named.includes(slug) })),
    days: dayChoices(readDays(several(typed, 'days'))),
    lengthUnit: units === 'mi' ? 'miles' : 'km',
  };
}

/** The other areas named, without the home area. */
function readAreas(typed: Typed, areas: { id: number; slug: string }[], home: number): number[] {
  const named = several(typed, 'otherAreas');
  return areas.filter((area) => area.id !== home && named.includes(area.slug)).map((area) => area.id);
}

/** Metres, or null where nothing is typed. Adds to `faults`. */
function readLength(typed: Typed, field: string, units: Units, faults: Faults): number | null {
  const text = line(typed, field);
  if (text === '') return null;
  const length = figure(text);
  const metres = length === null ? 0 : toMetres(length, units);
  if (metres > 0 && metres <= LONGEST_METRES) return metres;
  faults[field] = `Type a length in ${units === 'mi' ? 'miles' : 'kilometres'}, ${Math.floor(fromMetres(LONGEST_METRES, units))} at most.`;
  return null;
}

/** A length as it is typed: "8" or "8.5". Empty where there is none. Pure. */
export function typedLength(metres: number | null, units: Units): string {
  return metres === null ? '' : String(Math.round(fromMetres(metres, units) * 100) / 100);
}
