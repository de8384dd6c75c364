import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { isOpen, openContacts, openWindow } from '../signups/contacts.js';
import { partiesOf } from '../signups/party.js';
import { led } from '../walks/led-request.js';
import { leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { daylight, meetFrame } from '../walks/walk-page.js';
import { wayOf } from '../walks/way.js';
import { weatherModel } from '../weather/model.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';

const BLANK_ROWS = 8;

/** The plain sign-in sheet. Emergency contacts are on it only within their window, and only for this walk's leaders. */
export function packPage(services: Services) {
  const { db, settings, now } = services;

  return function pack(request: FastifyRequest, reply: FastifyReply) {
    const { walk, part } = led(request);
    const person = request.visitor.person;
    const leads = part !== 'coordinator' && person !== null;
    const contacts = leads && isOpen(walk, now()) ? openContacts(services, walk, person.id, 'sign-in sheet') : null;
    const way = wayOf(services, walk);
    const window = openWindow(walk);
    const rows = partiesOf(db.q, walk.id)
      .filter((party) => party.state === 'confirmed')
      .flatMap((party) =>
        party.members.map((member) => ({
          name: member.name,
          waiver: member.waiver,
          contact: contacts?.get(member.id) ?? null,
          broken: contacts !== null && !contacts.get(member.id),
        })),
      );
    return page(request, reply.header('Cache-Control', 'no-store'), 'lead/pack', {
      title: `Sign-in sheet: ${walkTitle(walk, settings().units)}`,
      walk: { id: walk.id },
      meet: meetFrame(walk, settings()),
      emergencyNumber: way.area.emergencyNumber,
      way,
      explained: way.explained,
      weather: weatherModel(db.q, walk, settings(), way.area.emergencyNumber),
      light: daylight(way.light, walk.zone, settings()),
      strip: way.strip,
      map: way.map,
      rows: rows.map((row, index) => ({ ...row, number: index + 1 })),
      blanks: Array.from({ length: BLANK_ROWS }, (_, index) => rows.length + index + 1),
      open: contacts !== null,
      forLeaders: leads,
      opensFrom: when(window.from, walk.zone, settings()),
      before: now() < window.from,
      printed: when(now(), walk.zone, settings()),
      leaders: leadersOf(db.q, walk.id),
    });
  };
}
