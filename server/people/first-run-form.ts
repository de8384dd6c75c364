import { readArea } from '../areas/form.js';
import type { NewArea } from '../areas/store.js';
import type { Units } from '../calc/measure.js';
import { LOCALES } from '../settings/rules.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { countryOf, readPhone } from '../web/phone.js';
import { EMAIL_FAULT, readEmail } from './email.js';

const MOST_CHARACTERS = 80;

/** The fields of the first-run page. */
export const FIRST_RUN_FIELDS = [
  'code',
  'groupName',
  'locale',
  'units',
  'clock',
  'name',
  'email',
  'phone',
  'areaName',
  'zone',
  'lat',
  'lon',
  'radius',
  'emergencyNumber',
] as const;
/** What was typed in them, to be read and to be shown again. */
export type FirstRunValues = Record<(typeof FIRST_RUN_FIELDS)[number], string>;

export const FIRST_RUN_DEFAULTS: Partial<FirstRunValues> = { locale: 'en-US', units: 'mi', clock: '12', radius: '10' };

/** A group, its first coordinator and its first area, ready to be laid down. */
export interface FirstRun {
  group: { groupName: string; locale: string; units: Units; clock: 12 | 24 };
  person: { name: string; email: string; phone: string | null };
  area: NewArea;
}

export function firstRunValues(typed: Typed): FirstRunValues {
  return Object.fromEntries(FIRST_RUN_FIELDS.map((field) => [field, line(typed, field)])) as FirstRunValues;
}

/** Reads the first-run form; faults by field where something needs mending. Pure; the code is checked elsewhere. */
export function readFirstRun(values: FirstRunValues): { first: FirstRun } | { faults: Faults } {
  const faults: Faults = {};
  const groupName = readName(values, 'groupName', 'Type the name of the group.', faults);
  const locale = LOCALES.find(([value]) => value === values.locale)?.[0] ?? 'en-US';
  const units = values.units === 'km' ? 'km' : 'mi';
  const person = readPerson(values, locale, faults);
  const area = readFirstArea(values, units, faults);
  if (Object.keys(faults).length > 0 || !person || !area) return { faults };
  return { first: { group: { groupName, locale, units, clock: values.clock === '24' ? 24 : 12 }, person, area } };
}

function readPerson(values: FirstRunValues, locale: string, faults: Faults): FirstRun['person'] | null {
  const name = readName(values, 'name', 'Type your name.', faults);
  const email = readEmail(values.email);
  if (email === null) faults.email = EMAIL_FAULT;
  const phone = values.phone === '' ? { e164: null } : readPhone(values.phone, countryOf(locale));
  if ('fault' in phone) faults.phone = phone.fault;
  return email === null || 'fault' in phone ? null : { name, email, phone: phone.e164 };
}

function readFirstArea(values: FirstRunValues, units: Units, faults: Faults): NewArea | null {
  const read = readArea({ ...values, name: values.areaName }, units);
  if ('area' in read) return read.area;
  const { name, ...others } = read.faults;
  Object.assign(faults, name === undefined ? {} : { areaName: name }, others);
  return null;
}

function readName(values: FirstRunValues, field: 'groupName' | 'name', missing: string, faults: Faults): string {
  if (!/\p{L}/u.test(values[field])) faults[field] = missing;
  else if (values[field].length > MOST_CHARACTERS) faults[field] = `Shorten this to ${MOST_CHARACTERS} characters.`;
  return values[field];
}
