import type { FastifyReply, FastifyRequest } from 'fastify';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { editable, led } from '../walks/led-request.js';
import type { LedWalk, WalkRow } from '../walks/ledby.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import type { Person } from '../web/visitor.js';
import { readOffer } from './form.js';
import { candidateGroups } from './model.js';
import { makeOffer, withdrawOffer } from './offers.js';
import { makeLeader, removePartner, stepBack } from './parts.js';
import { mayChangeLeaders } from './rules.js';
import { candidates, openOffersOn, partsOf } from './store.js';

const LABELS: Record<string, string> = { kind: 'What you ask', person: 'Whom', note: 'A note' };

/** What was just done, in words. */
const DONE: Record<string, string> = {
  offer: 'Asked. They hear by mail in a moment, and you hear what they say.',
  withdraw: 'Taken back.',
  remove: 'Taken off this walk. They are told.',
  lead: 'This walk has a new leader. They are told, and so is everyone signed up.',
};

/** Who leads and shares a walk, and asking others to. */
export function togetherPages(services: Services) {
  const { db, settings, now } = services;

  /** @throws Problem where it is too late for it */
  function changeable(request: FastifyRequest): LedWalk & { person: Person; mayAsk: boolean } {
    const { walk, part } = led(request);
    editable(walk);
    if (!mayChangeLeaders(walk, now())) throw tooLate(walk);
    const person = signedInPerson(request);
    return { walk, part, person, mayAsk: part === 'leader' || person.coordinator };
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    return answer(request, reply, {}, {});
  }

  function answer(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const { walk, person, mayAsk } = changeable(request);
    const refused = Object.keys(faults).length > 0;
    const [leader, ...sharers] = partsOf(db.q, walk.id);
    const leaderless = leader?.approved !== true;
    // Of a walk without a leader, whoever shares it can lead it at once: that button stands out, and no other.
    const next = leaderless && person.coordinator ? sharers.find((one) => one.approved) : undefined;
    const kind = line(typed, 'kind') || (leaderless ? 'hand-over' : '');
    return page(request, refused ? reply.code(422) : reply, 'together/page', {
      title: `Leading together: ${walkTitle(walk, settings().units)}`,
      errorTitle: refused,
      narrow: true,
      noindex: true,
      walkTitle: walkTitle(walk, settings().units),
      meet: meetFrame(walk, settings()),
      walk: { id: walk.id },
      leader: leader && { ...leader, isSelf: leader.personId === person.id },
      leaderless,
      staysLabel: leader?.personId === person.id ? 'I stay as co-leader' : `${leader?.name ?? ''} stays as co-leader`,
      hasNext: next !== undefined,
      sharers: sharers.map((one) => ({
        ...one,
        isNext: one === next,
        isSelf: one.personId === person.id,
        mayRemove: mayAsk && one.personId !== person.id,
        mayLead: person.coordinator && one.approved,
      })),
      offers: openOffersOn(db.q, walk.id).map(({ offer, to }) => ({ id: offer.id, name: to.name, lead: offer.kind === 'hand-over' })),
      mayAsk,
      done: DONE[line(request.query as Typed, 'done')],
      form: { note: line(typed, 'note'), stays: ticked(typed, 'stays'), share: kind === 'co-leader', handOver: kind === 'hand-over' },
      groups: mayAsk
        ? candidateGroups(candidates(db.q, walk, now()), walk, line(typed, 'person'), person.id, { settings: settings(), now: now() })
        : [],
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function post(request: FastifyRequest, reply: FastifyReply) {
    const { walk, person, mayAsk } = changeable(request);
    const typed = request.body as Typed;
    const intent = line(typed, 'intent');
    const self = { personId: person.id, name: person.name };
    if (intent === 'step-back') {
      stepBack(services, walk, self);
      return reply.redirect('/lead', 303);
    }
    if (!mayAsk) throw Problem.forbidden("Only this walk's leader and the coordinators choose who leads and shares it.");
    const number = (field: string) => Number(line(typed, field));
    if (intent === 'withdraw') withdrawOffer(services, walk, number('offer'));
    else if (intent === 'remove') removePartner(services, walk, number('person'), self);
    else if (intent === 'lead' && person.coordinator) makeLeader(services, walk.id, number('person'), self);
    else return ask(request, reply, { walk, person, typed });
    return reply.redirect(`/lead/walks/${walk.id}/together?done=${intent}`, 303);
  }

  function ask(request: FastifyRequest, reply: FastifyReply, asked: { walk: WalkRow; person: Person; typed: Typed }) {
    const { walk, person, typed } = asked;
    const read = readOffer(typed, candidates(db.q, walk, now()), person.id);
    if ('faults' in read) return answer(request, reply, typed, read.faults);
    const refused = makeOffer(services, walk.id, person.id, read.form);
    if (refused) return answer(request, reply, typed, { person: refused.fault });
    return reply.redirect(`/lead/walks/${walk.id}/together?done=offer`, 303);
  }

  return { show, post };
}

function tooLate(walk: WalkRow): Problem {
  return new Problem(409, {
    heading: 'It is too late for this',
    sentence: 'The walk has begun: who leads it stays as it is.',
    links: [{ href: `/lead/walks/${walk.id}`, label: 'Back to the walk' }],
  });
}
