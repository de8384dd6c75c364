import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { signUpLink } from '../signups/link.js';
import { walkTitle } from '../walks/title.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { countryOf, phoneText, readPhone } from '../web/phone.js';
import type { Person } from '../web/visitor.js';
import { when } from '../web/when.js';
import { comingSignUps, type OwnSignUp, pastSignUps } from './own-signups.js';
import { refused } from './refusal.js';
import { liveSessions, type PersonRow, personById, saveOwnDetails } from './store.js';

const MOST_CHARACTERS = 80;

/** What is typed in the form on the page. */
interface OwnValues {
  name: string;
  phone: string;
}

/** What is held about the person signed in, for themself. */
export function mePage(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const self = selfOf(services, request);
    return show(services, request, reply, { name: self.name, phone: phoneText(self.phone ?? '') }, {});
  };
}

export function saveMe(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const self = selfOf(services, request);
    const typed = (request.body ?? {}) as Typed;
    const values = { name: line(typed, 'name'), phone: line(typed, 'phone') };
    const read = readOwnDetails(values, services.settings().locale);
    if ('faults' in read) return show(services, request, reply.code(422), values, read.faults);
    services.db.write((tx) => saveOwnDetails(tx, self.id, read));
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

/** The same, for a program. */
export function meJson(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const self = selfOf(services, request);
    const now = services.now();
    const { q } = services.db;
    const signUps = [...comingSignUps(q, self.email, now), ...pastSignUps(q, self.email, now, Number.MAX_SAFE_INTEGER)];
    reply.header('Cache-Control', 'no-store');
    return reply.send({
      name: self.name,
      email: self.email,
      phone: self.phone,
      roles: rolesOf(personOf(request)),
      since: new Date(self.createdAt).toISOString(),
      sessions: liveSessions(q, self.id, now),
      signUps: signUps.map((signUp) => ({
        walk: `${services.config.baseUrl}/walks/${signUp.walkId}`,
        title: walkTitle(signUp, services.settings().units),
        gather: new Date(signUp.gatherAt).toISOString(),
        zone: signUp.zone,
        walkState: signUp.walkState,
        state: signUp.state,
        name: signUp.name,
        phone: signUp.phone,
        people: signUp.partySize,
        signedUp: new Date(signUp.createdAt).toISOString(),
        privatePage: signUpLink(services.sealer, services.config.baseUrl, signUp.id),
      })),
    });
  };
}

function show(services: Services, request: FastifyRequest, reply: FastifyReply, values: OwnValues, faults: Faults): FastifyReply {
  const self = selfOf(services, request);
  const now = services.now();
  const { q } = services.db;
  const sessions = liveSessions(q, self.id, now);
  reply.header('Cache-Control', 'no-store');
  return page(request, reply, 'people/me', {
    title: 'You',
    noindex: true,
    ...refused(faults),
    email: self.email,
    roles: rolesOf(personOf(request)).join(', '),
    leader: personOf(request).leader,
    values,
    faults,
    coming: comingSignUps(q, self.email, now).map((signUp) => shown(services, signUp, STATES)),
    past: pastSignUps(q, self.email, now).map((signUp) => shown(services, signUp, PAST_STATES)),
    sessions: sessions === 1 ? 'in this browser only' : `in ${sessions} browsers`,
  });
}

const STATES = { confirmed: 'Coming', waiting: 'Waiting for a place', withdrawn: 'Withdrawn' };
/** Of a walk that has begun: who came is another matter. */
const PAST_STATES = { confirmed: 'Signed up', waiting: 'Waited for a place', withdrawn: 'Withdrawn' };

function shown(services: Services, signUp: OwnSignUp, states: Record<OwnSignUp['state'], string>) {
  const settings = services.settings();
  return {
    title: walkTitle(signUp, settings.units),
    when: when(signUp.gatherAt, signUp.zone, settings),
    href: signUpLink(services.sealer, '', signUp.id),
    state: signUp.walkState === 'cancelled' ? 'Walk cancelled' : states[signUp.state],
    people: signUp.partySize === 1 ? '1 person' : `${signUp.partySize} people`,
  };
}

function rolesOf(person: Person): string[] {
  const roles = ['Walker'];
  if (person.leader) roles.push('Leader');
  if (person.coordinator) roles.push('Coordinator');
  return roles;
}

function personOf(request: FastifyRequest): Person {
  if (!request.visitor.person) throw new Error('the route let in somebody who is not signed in');
  return request.visitor.person;
}

function selfOf(services: Services, request: FastifyRequest): PersonRow {
  const self = personById(services.db.q, personOf(request).id);
  if (!self) throw new Error('a session without its person');
  return self;
}
