import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { countryOf, phoneText, readPhone } from '../web/phone.js';
import { heldAbout } from './me-held.js';
import { meModel } from './me-model.js';
import { signedInPerson } from './me-person.js';
import { refused } from './refusal.js';
import { saveOwnDetails } from './store.js';

const MOST_CHARACTERS = 80;
/** Mails and entries of the log shown on the page; all of them are in the JSON. */
const MOST_SHOWN = 20;

/** What is typed in the form on the page. */
interface OwnValues {
  name: string;
  phone: string;
}

/** What is held about the person signed in, for themself. */
export function mePage(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => show(services, request, reply, null, {});
}

export function saveMe(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const typed = (request.body ?? {}) as Typed;
    const values = { name: line(typed, 'name'), phone: line(typed, 'phone') };
    const read = readOwnDetails(values, services.settings().locale);
    if ('faults' in read) return show(services, request, reply.code(422), values, read.faults);
    services.db.write((tx) => saveOwnDetails(tx, signedInPerson(request).id, read));
    return reply.redirect('/me', 303);
  };
}

function readOwnDetails(values: OwnValues, locale: string): { name: string; phone: string | null } | { faults: Faults } {
  const faults: Faults = {};
  if (!/\p{L}/u.test(values.name)) faults.name = 'Type your name.';
  else if (values.name.length > MOST_CHARACTERS) faults.name = `Shorten your name to ${MOST_CHARACTERS} characters.`;
  const phone = values.phone === '' ? { e164: null } : readPhone(values.phone, countryOf(locale));
  if ('fault' in phone) faults.phone = phone.fault;
  if (Object.keys(faults).length > 0 || 'fault' in phone) return { faults };
  return { name: values.name, phone: phone.e164 };
}

function show(services: Services, request: FastifyRequest, reply: FastifyReply, typed: OwnValues | null, faults: Faults): FastifyReply {
  const person = signedInPerson(request);
  const held = heldAbout(services, person, MOST_SHOWN);
  const { name, phone } = held.self;
  reply.header('Cache-Control', 'no-store');
  return page(request, reply, 'people/me', {
    title: 'You',
    noindex: true,
    ...refused(faults),
    ...meModel(services, held),
    values: typed ?? { name, phone: phoneText(phone ?? '') },
    faults,
  });
}
