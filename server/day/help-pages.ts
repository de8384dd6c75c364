import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Contact } from '../contacts/contact.js';
import { underWords, windowSentence } from '../contacts/opening-model.js';
import { isOpen } from '../contacts/window.js';
import { routeById } from '../gpx/store.js';
import { heading } from '../leaders/heading.js';
import type { Services } from '../services.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { areaOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { helpPlaces, lastStop } from './help-model.js';
import { openContactOf } from './open-contact.js';
import { CALL_AT_ONCE, SIGNS } from './signs.js';
import { entriesOf, type OnRoll, rosterOf } from './store.js';

/** One tap from the roll: whom to call, what to say, where it is, whom to phone for them, what to look for. */
export function helpPages(services: Services) {
  const { db, settings, now } = services;

  function help(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, line(request.query as Typed, 'who'));
  }

  /** Opened for whoever asks within the window, for one person, and written down as an emergency. */
  function open(request: FastifyRequest, reply: FastifyReply) {
    const { walk, part } = led(request);
    const sentence = windowSentence(walk, settings(), now(), false);
    if (!isOpen(walk, settings(), now())) throw closed(walk, sentence);
    const who = line(request.body as Typed, 'who');
    const person = rosterOf(db.q, walk, oweContext(services)).find((one) => one.who === who);
    if (!person) return show(request, reply.code(422), '', undefined, { who: 'Choose somebody on the roll.' });
    const as = part === 'coordinator' ? 'coordinator' : 'leader';
    const contact = openContactOf(services, walk, { who, by: signedIn(request), as, reason: 'emergency', why: null });
    return show(request, reply, who, { contact });
  }

  function show(
    request: FastifyRequest,
    reply: FastifyReply,
    who: string,
    opened?: { contact: Contact | null | undefined },
    faults: Faults = {},
  ) {
    const { walk } = led(request);
    const roster = rosterOf(db.q, walk, oweContext(services));
    const person = roster.find((one) => one.who === who) ?? null;
    const route = walk.routeId === null ? null : (routeById(db.q, walk.routeId) ?? null);
    const entries = entriesOf(db.q, walk.id);
    const places = helpPlaces(walk, route, lastStop(entries, person?.who ?? null), settings());
    const mayOpen = isOpen(walk, settings(), now());
    return page(request, reply.header('Cache-Control', 'no-store'), 'day/help', {
      title: `Emergency: ${walkTitle(walk, settings().units)}`,
      errorTitle: Object.keys(faults).length > 0,
      errors: summary(faults),
      narrow: true,
      noindex: true,
      walk: { id: walk.id },
      heading: heading(walk, settings().units),
      number: areaOf(db.q, walk.areaId).emergencyNumber,
      places,
      last: places.find((place) => place.last) ?? null,
      person: person && { ...shown(person), who: person.who },
      people: person
        ? []
        : roster.map((one) => ({ ...shown(one), href: `/lead/walks/${walk.id}/roll/help?who=${encodeURIComponent(one.who)}` })),
      mayOpen,
      window: mayOpen ? null : windowSentence(walk, settings(), now(), false),
      opened: opened && {
        ...opened,
        none: opened.contact === undefined,
        broken: opened.contact === null,
        at: when(now(), walk.zone, settings()),
      },
      writeDown: `/lead/walks/${walk.id}/incidents/new${person ? `?who=${encodeURIComponent(person.who)}` : ''}`,
      callAtOnce: CALL_AT_ONCE,
      signs: SIGNS,
    });
  }

  return { help, open };
}

function shown(one: OnRoll) {
  return { name: one.name, under: underWords({ isMinor: one.minor, guardianName: one.guardianName }) };
}

function closed(walk: WalkRow, sentence: string): Problem {
  return new Problem(403, {
    heading: 'Emergency details are not open now',
    sentence: `${sentence} If something has happened, a coordinator can open one person's details at any time.`,
    links: [
      { href: `/lead/walks/${walk.id}/roll/help`, label: 'Back to the emergency page' },
      { href: `/lead/walks/${walk.id}`, label: 'Back to the walk' },
    ],
  });
}
