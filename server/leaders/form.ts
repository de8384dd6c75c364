import { readEmail } from '../people/email.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { countryOf, readPhone } from '../web/phone.js';

export interface LeaderForm {
  name: string;
  email: string;
  phone: string;
  areaId: number;
  pledge: number;
}

/** Reads the form that makes someone a leader. Pure. */
export function readLeader(typed: Typed, areas: { id: number; slug: string }[], locale: string): { form: LeaderForm } | { faults: Faults } {
  const faults: Faults = {};
  const name = line(typed, 'name');
  if (!/\p{L}/u.test(name)) faults.name = 'Type their name.';
  else if (name.length > 80) faults.name = 'Keep the name under 80 characters.';
  const email = readEmail(line(typed, 'email'));
  if (email === null) faults.email = 'Type their e-mail address: they sign in with it.';
  const phone = readPhone(line(typed, 'phone'), countryOf(locale));
  if ('fault' in phone) faults.phone = `${phone.fault} Walkers phone it on the day.`;
  const area = areas.find((one) => one.slug === line(typed, 'area'));
  if (!area) faults.area = 'Choose the area they lead in.';
  const pledge = Number(line(typed, 'pledge') || '1');
  if (!Number.isInteger(pledge) || pledge < 1 || pledge > 31) faults.pledge = 'A pledge is 1 to 31 walks a month.';
  if (Object.keys(faults).length > 0 || !area || email === null || 'fault' in phone) return { faults };
  return { form: { name, email, phone: phone.e164, areaId: area.id, pledge } };
}
