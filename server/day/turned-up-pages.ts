import type { FastifyReply, FastifyRequest } from 'fastify';
import { windowSentence } from '../contacts/opening-model.js';
import { windowState } from '../contacts/window.js';
import type { Services } from '../services.js';
import { traceOf } from '../signups/given.js';
import { textsInForce, withoutUnread } from '../signups/shown-texts.js';
import { partyTexts } from '../signups/sign-up-model.js';
import { OWN_CONSENT, SCREEN_INTENT } from '../waivers/words.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import { countryOf } from '../web/phone.js';
import { rosterOf, turnedUpBy } from './store.js';
import { hasTheirContact } from './turned-up-contacts.js';
import { type Adult, type Facts, readTurnedUp, WAYS } from './turned-up-form.js';
import { adultsOn, saveTurnedUp, signedFor, type TurnedUp } from './turned-up-store.js';

const KEY = /^[A-Za-z0-9_-]{8,40}$/;
const KEY_LENGTH = 16;
const CONTACT = ['contactName', 'contactRelation', 'contactPhone', 'note'];

const LABELS: Record<string, string> = {
  name: 'Name',
  guardian: 'Guardian',
  phone: 'Their phone',
  email: 'E-mail',
  contactName: 'Emergency contact, name',
  contactRelation: 'Emergency contact, relation',
  contactPhone: 'Emergency contact, phone',
  note: 'For a first-aider',
  agreeRules: 'Rules',
  way: 'Waiver',
  signature: 'Signature',
  agreeWaiver: 'Waiver',
};

/** Somebody who walks without having signed up: put on the roll, or filled in where a phone without signal named them. */
export function turnedUpPages(services: Services) {
  const { db, settings, now } = services;

  function newOne(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, null, { key: services.secret().slice(0, KEY_LENGTH) }, {});
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    const person = find(request);
    const { name, minor, guardian, phone, email } = person;
    return show(request, reply, person, { name, minor: minor ? 'yes' : '', guardian, phone, email }, {});
  }

  function find(request: FastifyRequest): TurnedUp {
    const { walk } = led(request);
    const person = turnedUpBy(db.q, walk.id, (request.params as { key: string }).key);
    if (person) return person;
    throw Problem.notFound('Nobody of that name has turned up on this walk.', [rollLink(walk)]);
  }

  function add(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const key = KEY.test(line(typed, 'key')) ? line(typed, 'key') : services.secret().slice(0, KEY_LENGTH);
    // Posted again, by a reload or an impatient thumb: the same person.
    return save(request, reply, { person: turnedUpBy(db.q, led(request).walk.id, key) ?? null, key });
  }

  function fill(request: FastifyRequest, reply: FastifyReply) {
    const person = find(request);
    return save(request, reply, { person, key: person.key });
  }

  function save(request: FastifyRequest, reply: FastifyReply, { person, key }: { person: TurnedUp | null; key: string }) {
    const { walk } = led(request);
    refuse(walk, person);
    const texts = textsInForce(db.q);
    const typed = withoutUnread(request.body as Typed, texts);
    const read = readTurnedUp(typed, { texts, country: countryOf(settings().locale), adults: guardians(walk, person), ...known(person) });
    if ('faults' in read) return show(request, reply, person, { ...typed, key }, read.faults);
    const by = { id: signedIn(request), name: request.visitor.person?.name ?? '' };
    saveTurnedUp(services, { walk, key, by, texts, trace: traceOf(request) }, read.given);
    return reply.redirect(`/lead/walks/${walk.id}/roll#t${key}`, 303);
  }

  function refuse(walk: WalkRow, person: TurnedUp | null): void {
    const sentence = closedWords(walk, person);
    if (sentence !== null) throw new Problem(409, { heading: 'Nobody can be added now', sentence, links: [rollLink(walk)] });
  }

  /** Why nothing can be written now; null where it can. A contact or a signature may come as long as emergency details are open. */
  function closedWords(walk: WalkRow, person: TurnedUp | null): string | null {
    const state = windowState(walk, settings(), now());
    if (state === 'none') return 'This walk is not posted: nobody walks.';
    if (state === 'before') return `The roll opens with the emergency details. ${windowSentence(walk, settings(), now(), false)}`;
    if (state === 'after') return 'This walk is over: what is missing can no longer be filled in.';
    return walk.state === 'closed' && person === null ? 'This walk is closed: nobody can be added to it.' : null;
  }

  function guardians(walk: WalkRow, person: TurnedUp | null): Adult[] {
    return adultsOn(db.q, walk.id, oweContext(services)).filter((adult) => adult.who !== `t${person?.key}`);
  }

  function known(person: TurnedUp | null): Pick<Facts, 'signed' | 'hasContact' | 'agreedRules'> {
    return {
      signed: signedFor(db.q, person?.waiverId ?? null),
      hasContact: person !== null && hasTheirContact(db.q, person.id),
      agreedRules: person?.rulesAgreedAt != null,
    };
  }

  function show(request: FastifyRequest, reply: FastifyReply, person: TurnedUp | null, typed: Typed, faults: Faults) {
    const { walk } = led(request);
    const refused = Object.keys(faults).length > 0;
    const { signed, hasContact, agreedRules } = known(person);
    const texts = partyTexts(services);
    const heading = person ? person.name : 'Somebody who turned up';
    const way = line(typed, 'way');
    return page(request, refused ? reply.code(422) : reply, 'day/turned-up', {
      title: `${heading}: ${walkTitle(walk, settings().units)}`,
      heading,
      errorTitle: refused,
      narrow: true,
      walk: { id: walk.id },
      action: person ? `/lead/walks/${walk.id}/roll/turned-up/${person.key}` : `/lead/walks/${walk.id}/roll/turned-up`,
      key: line(typed, 'key'),
      closed: closedWords(walk, person),
      tell: person ? [] : tellWords(walk),
      form: {
        ...Object.fromEntries(['name', 'phone', 'email', 'signature', ...CONTACT].map((field) => [field, line(typed, field)])),
        ...Object.fromEntries(['minor', 'noContact', 'agreeRules', 'agreeWaiver'].map((field) => [field, ticked(typed, field)])),
      },
      guardians: guardians(walk, person).map((adult) => ({
        value: adult.who,
        label: adult.name,
        selected: adult.who === line(typed, 'guardian'),
      })),
      hasContact,
      agreedRules,
      signed,
      ways: Object.entries(WAYS).map(([value, label]) => ({ value, label, chosen: value === way })),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
      rules: texts.rules,
      waiver: { ...texts.waiver, agree: `${SCREEN_INTENT} ${OWN_CONSENT}` },
    });
  }

  /** What a leader should know before taking somebody along: it is theirs to decide. */
  function tellWords(walk: WalkRow): string[] {
    const onRoll = rosterOf(db.q, walk, oweContext(services)).length;
    const full =
      onRoll >= walk.capacity
        ? [`The walk is full: ${onRoll} on the roll, posted for ${walk.capacity}. Whether one more comes is for you to decide.`]
        : [];
    return [...full, ...(walk.minors ? [] : ['It was posted without anyone under 18.'])];
  }

  return { newOne, one, add, fill };
}

function rollLink(walk: WalkRow) {
  return { href: `/lead/walks/${walk.id}/roll`, label: 'Back to the roll' };
}
