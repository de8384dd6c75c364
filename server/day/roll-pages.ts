import type { FastifyReply, FastifyRequest } from 'fastify';
import { hashed } from '../db/seal.js';
import type { Services } from '../services.js';
import { led, signedIn } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { isJson, wantsJson } from '../web/json.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { ROLL_OPENS_MS, rollPhase } from './opening.js';
import { personModel } from './person-model.js';
import { reachOf, sayersOf } from './person-store.js';
import { rollModel } from './roll-model.js';
import { type RollPerson, type RollState, rollEntry, rollState } from './roll-state.js';
import { keepEntries, lateCount } from './store.js';
import { keeper, notOpen, syncRoll } from './sync.js';
import { readTap, type Tapped } from './tap.js';

/** The device of what is tapped on the page without script. */
const PAGE = 'the-page';
const LABELS: Record<string, string> = {
  back: 'Back marker',
  heads: 'Heads counted',
  told: 'Who was told',
  home: 'How they get home',
  stop: 'Where they left',
};

interface Refusal {
  faults: Faults;
  typed: Typed;
}

/** The roll of a walk: its page, each person's, and what is posted to them. */
export function rollPages(services: Services) {
  const { db, now, settings } = services;

  function roll(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const phase = rollPhase(walk, now());
    if (phase === 'draft' || phase === 'before') return closedDoor(request, reply, walk);
    const who = line(request.query as Typed, 'who');
    const state = rollState(services, walk, request);
    if (wantsJson(request)) return reply.header('Cache-Control', 'no-store').send(state);
    const person = state.people.find((one) => one.who === who);
    return person ? showPerson(request, reply, walk, state, person) : show(request, reply, walk, state);
  }

  /** Before the roll opens there is a page that says when. */
  function closedDoor(request: FastifyRequest, reply: FastifyReply, walk: WalkRow) {
    const opens = walk.state === 'draft' ? null : when(walk.gatherAt - ROLL_OPENS_MS, walk.zone, settings());
    return page(request, reply, 'lead/roll-before', {
      title: `Roll: ${walk.routeName}`,
      noindex: true,
      narrow: true,
      walk: { id: walk.id },
      opens,
    });
  }

  function mayWrite(request: FastifyRequest, state: RollState): boolean {
    return led(request).part !== 'coordinator' && !state.closed;
  }

  function show(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, state: RollState, refusal?: Refusal) {
    const writes = mayWrite(request, state);
    return page(request, refusal ? reply.code(422) : reply, 'lead/roll', {
      title: `Roll: ${walk.routeName}`,
      ...refused(refusal),
      noindex: true,
      script: request.server.pages.assets.roll.href,
      walk: { id: walk.id },
      state,
      writes,
      reads: led(request).part === 'coordinator',
      over: state.closed,
      late: state.closed && walk.closedAt !== null ? lateWords(lateCount(db.q, walk.id, walk.closedAt)) : null,
      ...rollModel(state, writes),
    });
  }

  function refused(refusal: Refusal | undefined) {
    const faults = refusal?.faults ?? {};
    return {
      errorTitle: refusal !== undefined,
      faults,
      typed: refusal?.typed ?? {},
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    };
  }

  function showPerson(
    request: FastifyRequest,
    reply: FastifyReply,
    walk: WalkRow,
    state: RollState,
    person: RollPerson,
    refusal?: Refusal,
  ) {
    const own = state.entries.filter((entry) => entry.who === person.who).map((entry) => entry.entry);
    return page(request, refusal ? reply.code(422) : reply, 'lead/roll-person', {
      title: `${person.name}: ${walk.routeName}`,
      ...refused(refusal),
      noindex: true,
      narrow: true,
      walk: { id: walk.id },
      writes: mayWrite(request, state),
      ...personModel(person, state, reachOf(db.q, walk.id, person.who), sayersOf(db.q, walk.id, own)),
    });
  }

  function postRoll(request: FastifyRequest, reply: FastifyReply) {
    if (isJson(request)) return syncRoll(services, request, reply);
    const { walk } = keeper(request);
    const phase = rollPhase(walk, now());
    if (phase === 'draft' || phase === 'before') throw notOpen();
    if (phase === 'over') throw isOver(walk);
    const typed = request.body as Typed;
    const by = signedIn(request);
    const { state, tap, entries } = db.write((tx) => {
      const state = rollState(services, walk, request);
      const tap = readTap(typed, state);
      const entries = 'entries' in tap ? tap.entries.map((one) => kept(one, walk.id, by)) : [];
      keepEntries(tx, walk.id, entries);
      return { state, tap, entries: entries.map((one) => rollEntry(one, walk)) };
    });
    if ('entries' in tap) return reply.redirect(`/lead/walks/${walk.id}/roll${anchor(state, entries, line(typed, 'who'))}`, 303);
    const person = state.people.find((one) => one.who === tap.who);
    const refusal = { faults: tap.faults, typed };
    return person ? showPerson(request, reply, walk, state, person, refusal) : show(request, reply, walk, state, refusal);
  }

  /** The same tap on the same page is the same entry: posted twice it is kept once. */
  function kept(one: Tapped, walkId: number, by: number) {
    const entry = hashed(JSON.stringify([walkId, by, one.who, one.said, one.after])).slice(0, 32);
    const at = now();
    return { ...one, entry, device: PAGE, deviceAt: at, sentAt: at, receivedAt: at, byPersonId: by };
  }

  return { roll, postRoll };
}

function lateWords(count: number): string | null {
  if (count === 0) return null;
  return count === 1 ? '1 entry came' : `${count} entries came`;
}

function isOver(walk: WalkRow): Problem {
  return new Problem(409, {
    heading: walk.state === 'cancelled' ? 'This walk is cancelled' : 'This walk is closed',
    sentence: 'Its roll can only be read.',
    links: [{ href: `/lead/walks/${walk.id}/roll`, label: 'Back to the roll' }],
  });
}

/** Where the page opens again: at whoever is to be tapped next after the one just tapped, so that one's place is kept. Pure. */
function anchor(state: RollState, tapped: RollState['entries'], who: string): string {
  const index = state.people.findIndex((one) => one.who === who);
  if (index < 0) return '';
  const open = rollModel({ ...state, entries: [...state.entries, ...tapped] }, true)
    .sections.flatMap((section) => section.rows)
    .filter((row) => row.main !== null)
    .map((row) => row.who);
  const next = state.people.slice(index + 1).find((one) => open.includes(one.who))?.who ?? open[open.length - 1];
  return next === undefined ? '' : `#row-${next}`;
}
