import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Contact } from '../contacts/contact.js';
import { openContacts } from '../contacts/open.js';
import { windowSentence } from '../contacts/opening-model.js';
import { isOpen } from '../contacts/window.js';
import { heading } from '../leaders/heading.js';
import type { Services } from '../services.js';
import { partiesOf } from '../signups/party.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { ALL_PARTS, BLANK_WAIVERS, type Choice, choiceQuery, choiceShown, PARTS, readChoice, SETS } from './pack.js';
import { packModel } from './pack-model.js';
import { keepPack, listOf } from './pack-store.js';

interface Shown {
  choice: Choice;
  contacts?: ReadonlyMap<number, Contact | null>;
  made?: boolean;
  faults?: Faults;
}

/** The day pack: what is wanted in it, and below that the pack itself, as it is printed. */
export function packPages(services: Services) {
  const { db, settings, now, sealer } = services;

  /** Looking changes nothing, and opens nothing. */
  function look(request: FastifyRequest, reply: FastifyReply) {
    const query = request.query as Typed;
    return show(request, reply, { choice: choiceShown(query), made: line(query, 'made') !== '' });
  }

  /** Nothing tells that paper came out of a printer: pressing "Make the pack" is what counts as printing. */
  function make(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const choice = readChoice(request.body as Typed);
    if (choice.parts.length === 0) return refuse(request, reply, choice);
    keep(request, choice, false);
    return reply.redirect(`/lead/walks/${walk.id}/pack?${choiceQuery(choice)}&made=1`, 303);
  }

  /** Opens the emergency contacts, writes that down, and shows the pack with them. Sent again, it is written down again. */
  function makeWithContacts(request: FastifyRequest, reply: FastifyReply) {
    const { walk, part } = led(request);
    if (part === 'coordinator' || !isOpen(walk, settings(), now())) throw closed(walk, part === 'coordinator');
    const choice = withList(readChoice(request.body as Typed));
    const contacts = openContacts(services, walk, { as: 'leader', by: signedIn(request), reason: 'sheet', why: null, member: null });
    keep(request, choice, true);
    return show(request, reply, { choice, contacts, made: true });
  }

  function keep(request: FastifyRequest, choice: Choice, contacts: boolean): void {
    const { walk } = led(request);
    const by = signedIn(request);
    db.write((tx) => keepPack(tx, sealer, { walk, by, at: now(), choice, contacts, rows: peopleOf(walk).rows }));
  }

  function peopleOf(walk: WalkRow) {
    const parties = partiesOf(db.q, walk.id, { now: now(), settings: settings() });
    return { parties, rows: listOf(db.q, walk.id, parties) };
  }

  function refuse(request: FastifyRequest, reply: FastifyReply, choice: Choice) {
    return show(request, reply.code(422), { choice, faults: { part: 'Tick at least one part.' } });
  }

  function show(request: FastifyRequest, reply: FastifyReply, { choice, contacts, made = false, faults = {} }: Shown) {
    const { walk, part } = led(request);
    const mayOpen = part !== 'coordinator' && isOpen(walk, settings(), now());
    return page(request, reply.header('Cache-Control', 'no-store'), 'day/pack', {
      title: `Day pack: ${walkTitle(walk, settings().units)}`,
      errorTitle: Object.keys(faults).length > 0,
      heading: heading(walk, settings().units),
      walk: { id: walk.id },
      made,
      mayOpen,
      contactsWords: part === 'coordinator' ? "Emergency contacts are printed only for the walk's own leaders." : sentence(walk),
      sets: Object.entries(SETS).map(([name, { title }]) => ({ title, href: `/lead/walks/${walk.id}/pack?set=${name}` })),
      parts: ALL_PARTS.map((value, index) => ({
        // The error summary leads to the first.
        id: index === 0 ? 'part' : `part-${value}`,
        value,
        label: `${PARTS[value].title}. ${PARTS[value].use}`,
        checked: choice.parts.includes(value),
      })),
      blank: choice.blank,
      mostBlank: BLANK_WAIVERS.most,
      faults,
      errors: summary(faults, () => 'Parts'),
      ...packModel(services, { walk, choice, ...peopleOf(walk), contacts: contacts ?? null }),
    });
  }

  function sentence(walk: WalkRow): string {
    return windowSentence(walk, settings(), now(), false);
  }

  function closed(walk: WalkRow, isCoordinator: boolean): Problem {
    return new Problem(403, {
      heading: 'Emergency contacts are not open now',
      sentence: isCoordinator
        ? "They are printed only for the walk's own leaders. If something has happened, open one person's details."
        : sentence(walk),
      links: [{ href: `/lead/walks/${walk.id}/pack`, label: 'The pack without them' }],
    });
  }

  return { look, make, makeWithContacts };
}

/** Contacts stand on the leader's list. */
function withList({ parts, blank }: Choice): Choice {
  return { parts: ALL_PARTS.filter((part) => part === 'list' || parts.includes(part)), blank };
}
