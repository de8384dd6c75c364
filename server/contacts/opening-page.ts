import type { FastifyReply, FastifyRequest } from 'fastify';
import { heading } from '../leaders/heading.js';
import type { Services } from '../services.js';
import { partiesOf } from '../signups/party.js';
import { led } from '../walks/led-request.js';
import type { LedWalk } from '../walks/ledby.js';
import { areaOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import type { Person } from '../web/visitor.js';
import { when } from '../web/when.js';
import { type Opening, openContacts } from './open.js';
import { EVERYONE, INCIDENT_LABELS, OPENING_LABELS, readIncident, readOpening } from './opening-form.js';
import { keptWords, type OnWalk, openedPeople, peopleOn, windowSentence } from './opening-model.js';
import { REASONS, whyWords } from './reasons.js';
import { contactsKeptOn } from './sealed.js';
import { isOpen, windowState } from './window.js';

/** The emergency details of a walk's people, opened with a reason: by its leaders within the window, by a coordinator for an incident. */
export function openingPages(services: Services) {
  const { db, settings, now } = services;

  function contactsPage(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, {}, {});
  }

  function openThem(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const typed = request.body as Typed;
    const people = peopleOf(walk.id);
    const known = new Set(people.map((one) => one.id));
    const read = readPosted(request, people, typed, known);
    if ('faults' in read) return show(request, reply, typed, read.faults);
    const opened = openContacts(services, walk, read);
    const asked = read.member === null ? people : people.filter((one) => one.id === read.member);
    return page(request, reply, 'lead/contacts', {
      ...frame(request),
      opened: openedPeople(asked, opened),
      // Who is missing may answer; nobody at home knows where they are.
      ownFirst: read.reason === 'missing',
      written:
        opened.size > 0 ? { why: whyWords(read, true), at: when(now(), walk.zone, settings()), whose: whoseWords(people, opened) } : null,
    });
  }

  function readPosted(request: FastifyRequest, people: OnWalk[], typed: Typed, known: Set<number>): Opening | { faults: Faults } {
    const { walk } = led(request);
    const by = visitorOf(request).id;
    if (asOf(led(request), visitorOf(request)) === 'coordinator') {
      const read = readIncident(typed, known);
      return 'faults' in read ? read : { as: 'coordinator', by, ...read };
    }
    if (!isOpen(walk, settings(), now())) throw closed(request, windowSentence(walk, settings(), now(), noneKept(people)));
    const read = readOpening(typed, known);
    return 'faults' in read ? read : { as: 'leader', by, ...read };
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const { walk } = led(request);
    const as = asOf(led(request), visitorOf(request));
    const people = peopleOf(walk.id);
    const refused = Object.keys(faults).length > 0;
    const typedMember = line(typed, 'member');
    const mayOpen = as === 'coordinator' ? !noneKept(people) : people.length > 0 && isOpen(walk, settings(), now());
    return page(request, refused ? reply.code(422) : reply, 'lead/contacts', {
      ...frame(request),
      errorTitle: refused,
      window: windowSentence(walk, settings(), now(), noneKept(people)),
      people: people.map((one) => ({ ...one, chosen: String(one.id) === typedMember })),
      everyone: { value: EVERYONE, chosen: typedMember === EVERYONE },
      leads: as === 'leader',
      aside: aside(as, mayOpen, people),
      removed: noneKept(people) && windowState(walk, settings(), now()) === 'after',
      keptCount: keptWords(people),
      mayOpen,
      reasons: Object.entries(REASONS).map(([value, label]) => ({ value, label, chosen: line(typed, 'reason') === value })),
      form: { why: line(typed, 'why') },
      faults,
      errors: summary(faults, (field) => (as === 'leader' ? OPENING_LABELS : INCIDENT_LABELS)[field] ?? ''),
    });
  }

  function frame(request: FastifyRequest) {
    const { walk } = led(request);
    return {
      title: `Emergency details: ${walkTitle(walk, settings().units)}`,
      heading: heading(walk, settings().units),
      narrow: true,
      walk: { id: walk.id },
      gather: when(walk.gatherAt, walk.zone, settings()),
      emergencyNumber: areaOf(db.q, walk.areaId).emergencyNumber,
    };
  }

  function peopleOf(walkId: number): OnWalk[] {
    return peopleOn(partiesOf(db.q, walkId, { now: now(), settings: settings() }), contactsKeptOn(db.q, walkId));
  }

  /** A leader goes by the window; a coordinator by what happened, whatever the hour. Who is both is a leader within the window. */
  function asOf({ walk, part }: LedWalk, person: Person): Opening['as'] {
    if (part === 'coordinator') return 'coordinator';
    return person.coordinator && !isOpen(walk, settings(), now()) ? 'coordinator' : 'leader';
  }

  return { contactsPage, openThem };
}

const ASK_A_COORDINATOR = "If something has happened, a coordinator can open one person's details at any time.";

/** What else there is to say beside the window. */
function aside(as: Opening['as'], mayOpen: boolean, people: OnWalk[]): string | null {
  if (as === 'leader') return mayOpen || noneKept(people) ? null : ASK_A_COORDINATOR;
  return mayOpen ? "As a coordinator you can open one person's details at any time, because something happened." : null;
}

/** Who can read that their details were opened. */
function whoseWords(people: OnWalk[], opened: ReadonlyMap<number, unknown>): string {
  const [one, ...others] = people.filter(({ id }) => opened.has(id));
  return one && others.length === 0 ? one.name : 'Each person whose details these are';
}

function noneKept(people: OnWalk[]): boolean {
  return !people.some((one) => one.kept);
}

function visitorOf(request: FastifyRequest): Person {
  if (!request.visitor.person) throw new Error('the route does not declare that someone is signed in');
  return request.visitor.person;
}

function closed(request: FastifyRequest, sentence: string): Problem {
  return new Problem(403, {
    heading: 'Emergency details are not open now',
    sentence: `${sentence} ${ASK_A_COORDINATOR}`,
    links: [{ href: `/lead/walks/${led(request).walk.id}`, label: 'Back to the walk' }],
  });
}
