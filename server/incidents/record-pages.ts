import type { FastifyReply, FastifyRequest } from 'fastify';
import { wallOf } from '../calc/zone.js';
import { rosterOf } from '../day/store.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { areaOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { fullWhen, when } from '../web/when.js';
import { type GivenRecord, RECORD_LABELS, readNote, readRecord } from './form.js';
import { placesOf, recordForm, recordWords, typedRecord } from './record-model.js';
import { mayChange, readUntil, recordingClosed } from './rules.js';
import { addNote, changeIncident, incidentById, incidentsOn, type NamedIncident, type Opened, openIncident } from './store.js';
import { recordIncident } from './write.js';

const POST_MARK = /^[A-Za-z0-9_-]{16,64}$/;

/** What a walk's leaders write down of what happened: the form, and their own records. */
export function recordPages(services: Services) {
  const { db, settings, now, sealer } = services;

  function list(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const self = signedIn(request);
    return page(request, reply, 'incidents/list', {
      ...frame(request, 'What happened'),
      closed: recordingClosed(walk, settings(), now()),
      rows: incidentsOn(db.q, walk.id).map((one) => ({
        href:
          one.incident.byPersonId === self || request.visitor.person?.coordinator
            ? `/lead/walks/${walk.id}/incidents/${one.incident.id}`
            : null,
        at: when(one.incident.createdAt, walk.zone, settings()),
        by: one.by ?? 'somebody who has left',
        open: one.incident.state === 'open',
        called: one.incident.called,
      })),
    });
  }

  function form(request: FastifyRequest, reply: FastifyReply) {
    const who = line(request.query as Typed, 'who');
    return showForm(request, reply, { who, ...justNow(led(request).walk), postMark: services.secret() }, {});
  }

  /** While the walk is out, what is written down mostly just happened; afterwards only its day is known. */
  function justNow(walk: WalkRow): { date: string; time?: string } {
    const { date, time } = wallOf(now(), walk.zone);
    return walk.state === 'posted' && now() >= walk.gatherAt && date === walk.wallDate ? { date, time } : { date: walk.wallDate };
  }

  function add(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const sentence = recordingClosed(walk, settings(), now());
    if (sentence !== null) throw new Problem(409, { heading: 'Nothing to write down yet', sentence, links: [toWalk(walk)] });
    const typed = request.body as Typed;
    const postMark = POST_MARK.test(line(typed, 'postMark')) ? line(typed, 'postMark') : services.secret();
    const read = readRecord(typed, facts(walk));
    if ('faults' in read) return showForm(request, reply, { ...typed, postMark }, read.faults);
    const id = recordIncident(services, walk, read.given, {
      postMark,
      by: signedIn(request),
      today: wallOf(now(), homeZone(services)).date,
    });
    return reply.redirect(`/lead/walks/${walk.id}/incidents/${id}?saved=1`, 303);
  }

  function facts(walk: WalkRow) {
    const people = new Map(roll(walk).map(({ who, name }) => [who, name]));
    return { people, places: placesOf(walk).map(({ value }) => value), zone: walk.zone, now: now() };
  }

  function roll(walk: WalkRow) {
    return rosterOf(db.q, walk, oweContext(services));
  }

  function showForm(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const { walk } = led(request);
    const refused = Object.keys(faults).length > 0;
    return page(request, refused ? reply.code(422) : reply, 'incidents/new', {
      ...frame(request, 'Write down what happened'),
      errorTitle: refused,
      closed: recordingClosed(walk, settings(), now()),
      postMark: line(typed, 'postMark'),
      ...recordForm(typed, walk, roll(walk), faults),
      errors: summary(faults, (field) => RECORD_LABELS[field] ?? ''),
    });
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    const found = own(request);
    if (!found) return reply.redirect(`/coordinate/incidents/${(request.params as { incident: string }).incident}`, 303);
    return showOne(request, reply, found, {});
  }

  /** Their own; undefined for a coordinator's reading of somebody else's. @throws Problem for others */
  function own(request: FastifyRequest): NamedIncident | undefined {
    const { walk } = led(request);
    const found = incidentById(db.q, Number((request.params as { incident: string }).incident));
    if (!found || found.incident.walkId !== walk.id) throw Problem.notFound('There is no such record on this walk.', [toWalk(walk)]);
    if (found.incident.byPersonId === signedIn(request)) return found;
    if (request.visitor.person?.coordinator) return undefined;
    throw Problem.forbidden('Only whoever wrote it, and the coordinators, can read it.', [toWalk(walk)]);
  }

  function change(request: FastifyRequest, reply: FastifyReply) {
    const found = own(request);
    if (!found)
      throw Problem.forbidden('A coordinator reads it among the incidents.', [{ href: '/coordinate/incidents', label: 'Incidents' }]);
    const intent = line(request.body as Typed, 'intent');
    if (intent === 'open') return read(request, reply, found);
    return intent === 'note' ? note(request, reply, found) : rewrite(request, reply, found);
  }

  function read(request: FastifyRequest, reply: FastifyReply, found: NamedIncident) {
    const { walk } = led(request);
    if (now() >= readUntil(found.incident, walk, settings()))
      throw Problem.forbidden('You could read it around the walk. Now a coordinator can.', [toWalk(walk)]);
    return showOne(request, reply, found, { opened: openIncident(services, found.incident.id, signedIn(request)) });
  }

  function rewrite(request: FastifyRequest, reply: FastifyReply, found: NamedIncident) {
    const { walk } = led(request);
    const by = signedIn(request);
    const typed = request.body as Typed;
    const read = readRecord(typed, facts(walk));
    if (!mayChange(found.incident, by, now())) throw tooLate(walk, found);
    if ('faults' in read) return showOne(request, reply, found, { typed, faults: read.faults });
    return keep(request, reply, found, read.given);
  }

  function keep(request: FastifyRequest, reply: FastifyReply, { incident }: NamedIncident, given: GivenRecord) {
    db.write((tx) => changeIncident(tx, sealer, incident.id, given, { by: signedIn(request), now: now() }));
    return reply.redirect(`/lead/walks/${incident.walkId}/incidents/${incident.id}?saved=1`, 303);
  }

  function note(request: FastifyRequest, reply: FastifyReply, found: NamedIncident) {
    const { walk } = led(request);
    if (found.incident.state === 'closed') throw tooLate(walk, found);
    const read = readNote(request.body as Typed);
    if ('faults' in read) return showOne(request, reply, found, { typed: request.body as Typed, faults: read.faults });
    db.write((tx) => addNote(tx, sealer, found.incident.id, read.note, { by: signedIn(request), now: now() }));
    return reply.redirect(`/lead/walks/${walk.id}/incidents/${found.incident.id}?saved=1`, 303);
  }

  interface Shown {
    opened?: Opened;
    typed?: Typed;
    faults?: Faults;
  }

  function showOne(request: FastifyRequest, reply: FastifyReply, { incident }: NamedIncident, { opened, typed, faults = {} }: Shown) {
    const { walk } = led(request);
    const refused = Object.keys(faults).length > 0;
    const latest = opened?.versions[0]?.record ?? null;
    const changing = typed ?? (latest && typedRecord(latest, incident.who));
    const isNote = line(typed ?? {}, 'intent') === 'note';
    const until = readUntil(incident, walk, settings());
    return page(request, (refused ? reply.code(422) : reply).header('Cache-Control', 'no-store'), 'incidents/own', {
      ...frame(request, 'What you wrote down'),
      errorTitle: refused,
      saved: line(request.query as Typed, 'saved') !== '',
      incidentId: incident.id,
      written: when(incident.createdAt, walk.zone, settings()),
      open: incident.state === 'open',
      readUntil: now() < until ? fullWhen(until, walk.zone, settings()) : null,
      ...openedModel(opened, walk, services),
      mayChange: mayChange(incident, signedIn(request), now()),
      ...(changing && !isNote && mayChange(incident, signedIn(request), now())
        ? { changing: true, ...recordForm(changing, walk, roll(walk), faults) }
        : { faults }),
      noteTyped: isNote ? line(typed ?? {}, 'note') : '',
      errors: summary(faults, (field) => RECORD_LABELS[field] ?? 'Note'),
    });
  }

  function frame(request: FastifyRequest, heading: string) {
    const { walk } = led(request);
    const title = walkTitle(walk, settings().units);
    return {
      title: `${heading}: ${title}`,
      heading,
      walkTitle: title,
      day: when(walk.gatherAt, walk.zone, settings()).fullDate,
      zone: when(walk.gatherAt, walk.zone, settings()).zone,
      narrow: true,
      noindex: true,
      walk: { id: walk.id },
      emergencyNumber: areaOf(db.q, walk.areaId).emergencyNumber,
    };
  }

  return { list, form, add, one, change };
}

/** What was opened, in words; nothing where it was not. */
export function openedModel(opened: Opened | undefined, walk: Pick<WalkRow, 'stops' | 'zone'>, { settings }: Pick<Services, 'settings'>) {
  if (!opened) return { versions: null, notes: null };
  const at = (ms: number) => when(ms, walk.zone, settings());
  return {
    versions: opened.versions.map(({ record, ...one }, index) => ({
      ...one,
      latest: index === 0,
      at: at(one.at),
      by: one.by ?? 'somebody who has left',
      record: record && recordWords(record, walk, settings()),
    })),
    notes: opened.notes.map((one) => ({ ...one, at: at(one.at), by: one.by ?? 'somebody who has left' })),
  };
}

function toWalk({ id }: WalkRow) {
  return { href: `/lead/walks/${id}/incidents`, label: 'Back' };
}

function tooLate(walk: WalkRow, { incident }: NamedIncident): Problem {
  const sentence =
    incident.state === 'closed'
      ? 'A coordinator has closed it. Ask them to open it again.'
      : 'It can be changed for a day by whoever wrote it. Add a note instead.';
  return new Problem(409, { heading: 'This record stands', sentence, links: [toWalk(walk)] });
}
