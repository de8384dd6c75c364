import type { FastifyReply, FastifyRequest } from 'fastify';
import { wallOf } from '../calc/zone.js';
import type { Contact } from '../contacts/contact.js';
import { openContactOf } from '../day/open-contact.js';
import { rosterOf } from '../day/store.js';
import { coordinators } from '../joining/store.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, lines, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { dateWords, when } from '../web/when.js';
import { FOLLOW_LABELS, readClosing, readFollowUp } from './follow-form.js';
import { readNote } from './form.js';
import { closeIncident, reopenIncident } from './holds.js';
import { openedModel } from './record-pages.js';
import {
  addNote,
  closedIncidents,
  countsOf,
  followUp,
  incidentById,
  type NamedIncident,
  type Opened,
  openIncident,
  openIncidents,
} from './store.js';
import { isOutcome, OUTCOMES } from './words.js';

/** What stands in the log, for whoever's contact it is, when a coordinator opens it from an incident. */
const WHY_OPENED = 'a coordinator follows up what happened on the walk';

/** The coordinators' queue of incidents, and each one's page. */
export function followPages(services: Services) {
  const { db, settings, now, sealer } = services;

  function queue(request: FastifyRequest, reply: FastifyReply) {
    const today = wallOf(now(), homeZone(services)).date;
    return page(request, reply, 'incidents/queue', {
      title: 'Incidents',
      open: openIncidents(db.q).map((one) => ({ ...row(one), late: one.incident.dueOn < today, today: one.incident.dueOn === today })),
      closed: closedIncidents(db.q).map(row),
    });
  }

  function row({ incident, assigned, by, areaName, ...walk }: NamedIncident) {
    return {
      href: `/coordinate/incidents/${incident.id}`,
      walk: walkTitle(walk, settings().units),
      day: when(walk.gatherAt, walk.zone, settings()).date,
      areaName,
      by: by ?? 'somebody who has left',
      assigned,
      called: incident.called,
      due: dateWords(incident.dueOn, settings().locale),
      outcome: isOutcome(incident.outcome) ? OUTCOMES[incident.outcome] : null,
    };
  }

  function find(request: FastifyRequest): { found: NamedIncident; walk: WalkRow } {
    const found = incidentById(db.q, Number((request.params as { incident: string }).incident));
    const walk = found && walkById(db.q, found.walkId);
    if (found && walk) return { found, walk };
    throw Problem.notFound('There is no such incident.', [{ href: '/coordinate/incidents', label: 'Incidents' }]);
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, {});
  }

  /** One address for all that is done with an incident: `intent` says which. */
  function act(request: FastifyRequest, reply: FastifyReply) {
    const { found, walk } = find(request);
    const typed = request.body as Typed;
    const made = { by: signedIn(request), now: now() };
    const { incident } = found;
    switch (line(typed, 'intent')) {
      case 'open':
        return show(request, reply, { opened: openIncident(services, incident.id, made.by) });
      case 'contact':
        return show(request, reply, { contact: { found: contactOf(walk, incident.who, made.by) } });
      case 'reopen':
        if (incident.state === 'closed') db.write((tx) => reopenIncident(tx, incident.id, made));
        return done(reply, incident.id);
      case 'note':
        return note(request, reply, found, typed);
      case 'close':
        return close(request, reply, found, typed);
      default:
        return follow(request, reply, found, typed);
    }
  }

  function contactOf(walk: WalkRow, who: string, by: number): Contact | null | undefined {
    return who === '' ? undefined : openContactOf(services, walk, { who, by, as: 'coordinator', reason: 'incident', why: WHY_OPENED });
  }

  function follow(request: FastifyRequest, reply: FastifyReply, { incident }: NamedIncident, typed: Typed) {
    const read = readFollowUp(typed, new Set(coordinators(db.q).map(({ id }) => id)));
    if ('faults' in read) return show(request, reply, { typed, faults: read.faults });
    db.write((tx) => followUp(tx, incident.id, read, { by: signedIn(request), now: now() }));
    return done(reply, incident.id);
  }

  function note(request: FastifyRequest, reply: FastifyReply, { incident }: NamedIncident, typed: Typed) {
    const read = readNote(typed);
    if ('faults' in read) return show(request, reply, { typed, faults: read.faults });
    db.write((tx) => addNote(tx, sealer, incident.id, read.note, { by: signedIn(request), now: now() }));
    return done(reply, incident.id);
  }

  function close(request: FastifyRequest, reply: FastifyReply, { incident }: NamedIncident, typed: Typed) {
    const read = readClosing(typed);
    if ('faults' in read) return show(request, reply, { typed, faults: read.faults });
    const made = { by: signedIn(request), now: now() };
    // Closed by somebody else meanwhile: it is closed once.
    if (incident.state === 'open')
      db.write((tx) => {
        if (read.note !== null) addNote(tx, sealer, incident.id, read.note, made);
        closeIncident(tx, incident, read.outcome, made);
      });
    return done(reply, incident.id);
  }

  function done(reply: FastifyReply, id: number) {
    return reply.redirect(`/coordinate/incidents/${id}?saved=1`, 303);
  }

  interface Shown {
    opened?: Opened;
    contact?: { found: Contact | null | undefined };
    typed?: Typed;
    faults?: Faults;
  }

  function show(request: FastifyRequest, reply: FastifyReply, { opened, contact, typed, faults = {} }: Shown) {
    const { found, walk } = find(request);
    const { incident } = found;
    const refused = Object.keys(faults).length > 0;
    const form: Typed = typed ?? { dueOn: incident.dueOn, assigned: String(incident.assignedTo ?? '') };
    const person = rosterOf(db.q, walk, oweContext(services)).find((each) => each.who === incident.who);
    return page(request, (refused ? reply.code(422) : reply).header('Cache-Control', 'no-store'), 'incidents/follow', {
      title: `Incident: ${walkTitle(found, settings().units)}`,
      errorTitle: refused,
      narrow: true,
      noindex: true,
      ...row(found),
      action: `/coordinate/incidents/${incident.id}`,
      walkHref: `/lead/walks/${walk.id}`,
      saved: line(request.query as Typed, 'saved') !== '',
      written: when(incident.createdAt, found.zone, settings()),
      isOpen: incident.state === 'open',
      closedAt: incident.closedAt === null ? null : when(incident.closedAt, found.zone, settings()),
      notesWords: notesWords(countsOf(db.q, incident.id).notes),
      person: person?.name ?? null,
      ...openedModel(opened, walk, services),
      contact: contact && { ...contact, none: contact.found === undefined, broken: contact.found === null },
      form: { dueOn: line(form, 'dueOn'), note: lines(form, 'note'), closing: lines(form, 'closing') },
      coordinators: coordinators(db.q).map(({ id, name }) => ({ value: id, label: name, selected: String(id) === line(form, 'assigned') })),
      outcomes: Object.entries(OUTCOMES).map(([value, label]) => ({ value, label, selected: value === line(form, 'outcome') })),
      faults,
      errors: summary(faults, (field) => FOLLOW_LABELS[field] ?? 'Note'),
    });
  }

  return { queue, one, act };
}

function notesWords(count: number): string {
  if (count === 0) return 'No notes yet.';
  return count === 1 ? 'One note.' : `${count} notes.`;
}
