import type { FastifyReply, FastifyRequest } from 'fastify';
import { openContacts } from '../contacts/open.js';
import { isOpen, openWindow } from '../contacts/window.js';
import type { Services } from '../services.js';
import { partiesOf } from '../signups/party.js';
import { led } from '../walks/led-request.js';
import { leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { daylight, meetFrame } from '../walks/walk-page.js';
import { wayOf } from '../walks/way.js';
import { weatherModel } from '../weather/model.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { asksForContacts } from './disclosing.js';
import { heading } from './heading.js';
import { sheetRows } from './sheet-rows.js';

const BLANK_ROWS = 8;

/** The plain sign-in sheet: a part to pass round, and one for the leader. Emergency contacts are on it only within their window, and only for this walk's leaders who ask for them. */
export function packPage(services: Services) {
  const { db, settings, now } = services;

  return function pack(request: FastifyRequest, reply: FastifyReply) {
    const { walk, part } = led(request);
    const person = request.visitor.person;
    const leads = part !== 'coordinator' && person !== null;
    const mayOpen = leads && isOpen(walk, settings(), now());
    const contacts =
      mayOpen && asksForContacts(request)
        ? openContacts(services, walk, { as: 'leader', by: person.id, reason: 'sheet', why: null, member: null })
        : null;
    const way = wayOf(services, walk);
    const window = openWindow(walk, settings());
    const rows = sheetRows(partiesOf(db.q, walk.id, { now: now(), settings: settings() }), contacts);
    return page(request, reply.header('Cache-Control', 'no-store'), 'lead/pack', {
      title: `Sign-in sheet: ${walkTitle(walk, settings().units)}`,
      heading: heading(walk, settings().units),
      walk: { id: walk.id },
      meet: meetFrame(walk, settings()),
      emergencyNumber: way.area.emergencyNumber,
      way,
      explained: way.explained,
      weather: weatherModel(db.q, walk, settings(), way.area.emergencyNumber),
      light: daylight(way.light, walk.zone, settings()),
      strip: way.strip,
      map: way.map,
      rows,
      blanks: Array.from({ length: BLANK_ROWS }, (_, index) => rows.length + index + 1),
      open: contacts !== null,
      mayOpen,
      forLeaders: leads,
      opensFrom: when(window.from, walk.zone, settings()),
      before: now() < window.from,
      hoursBefore: hoursWords(settings().contactsFromHours),
      printed: when(now(), walk.zone, settings()),
      leaders: leadersOf(db.q, walk.id),
    });
  };
}

function hoursWords(hours: number): string {
  if (hours === 24) return 'a day';
  return hours === 1 ? 'an hour' : `${hours} hours`;
}
