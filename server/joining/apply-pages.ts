import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { signedInPerson } from '../people/me-person.js';
import { personById } from '../people/store.js';
import type { Services } from '../services.js';
import { oweContext } from '../walks/save.js';
import { type Faults, line, lines, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { phoneText } from '../web/phone.js';
import { placeAndDays, readApplication, typedLength } from './form.js';
import { appliedLetter } from './letters.js';
import { oweCoordinators } from './owe.js';
import { type ApplicationRow, applicationById, changeOpen, keepApplication, openApplication } from './store.js';

const LABELS: Record<string, string> = {
  name: 'Your name',
  phone: 'Phone',
  area: 'Area',
  why: 'Why you would like to lead',
  days: 'Days',
  longest: 'Longest walk',
};

/** The form with which someone applies to lead, changes what they wrote, or withdraws it. */
export function applyPages(services: Services) {
  const { db, settings, now } = services;

  function form(request: FastifyRequest, reply: FastifyReply) {
    const person = signedInPerson(request);
    if (person.leader) return reply.redirect('/lead/join', 303);
    const open = openApplication(db.q, person.id);
    return show(request, reply, open ? typedFrom(open) : blank(person.id), {});
  }

  function blank(personId: number): Typed {
    const own = personById(db.q, personId);
    return { name: own?.name ?? '', phone: phoneText(own?.phone ?? '') };
  }

  function typedFrom({ name, phone, areaId, why, days, longestMetres, otherAreas }: ApplicationRow): Typed {
    const areas = allAreas(db.q);
    const slugOf = (id: number) => areas.find((area) => area.id === id)?.slug ?? '';
    return {
      ...{ name, phone: phoneText(phone), why, area: slugOf(areaId) },
      ...{ days: days.map(String), otherAreas: otherAreas.map(slugOf), longest: typedLength(longestMetres, settings().units) },
    };
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const isOpen = openApplication(db.q, signedInPerson(request).id) !== undefined;
    return page(request, refused ? reply.code(422) : reply, 'joining/apply', {
      title: isOpen ? 'Your application' : 'Apply to lead walks',
      errorTitle: refused,
      narrow: true,
      isOpen,
      form: { name: line(typed, 'name'), phone: line(typed, 'phone'), why: lines(typed, 'why'), longest: line(typed, 'longest') },
      ...placeAndDays(typed, allAreas(db.q), settings().units),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function apply(request: FastifyRequest, reply: FastifyReply) {
    const person = signedInPerson(request);
    if (person.leader) return reply.redirect('/lead/join', 303);
    const typed = request.body as Typed;
    const read = readApplication(typed, { areas: allAreas(db.q), units: settings().units, locale: settings().locale });
    if ('faults' in read) return show(request, reply, typed, read.faults);
    db.write((tx) => {
      const { id, isNew } = keepApplication(tx, person.id, read.form, now());
      const found = isNew ? applicationById(tx, id) : undefined;
      if (!found) return;
      const letter = appliedLetter({ ...found.application, areaName: found.areaName }, read.form.why);
      oweCoordinators(tx, oweContext(services), { kind: 'application', event: `application:${id}`, letter });
    });
    services.mailOwed();
    return reply.redirect('/lead/join', 303);
  }

  function withdraw(request: FastifyRequest, reply: FastifyReply) {
    const { id: personId } = signedInPerson(request);
    db.write((tx) => {
      const open = openApplication(tx, personId);
      if (open) changeOpen(tx, open.id, { state: 'withdrawn', decidedAt: now() });
    });
    return reply.redirect('/lead/join', 303);
  }

  return { form, apply, withdraw };
}
