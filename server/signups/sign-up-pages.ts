import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { toHtml } from '../texts/markdown.js';
import { textInForce } from '../texts/store.js';
import { signedBy } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { placesTaken, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { MOST_IN_PARTY, readSignUp } from './form.js';
import { signUpForm, withParty } from './form-page.js';
import { signUpToken } from './link.js';
import { countryOf } from './phone.js';
import { addSignUp } from './store.js';

/** Signing up: one page, no password. */
export function signUpPages(services: Services) {
  const { db, settings } = services;

  function openWalk(request: FastifyRequest): WalkRow {
    const walk = walkById(db.q, Number((request.params as { walk: string }).walk));
    if (!walk || walk.postedAt === null) throw Problem.notFound('There is no walk at this address. It may have been mistyped.');
    if (walk.state === 'cancelled') throw closed(walk, 'This walk is cancelled', `Nobody can sign up for it: ${walk.cancelReason}.`);
    if (walk.state !== 'posted' || walk.gatherAt <= services.now())
      throw closed(walk, 'This walk has begun', 'Signing up ended when people gathered.');
    return walk;
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const person = request.visitor.person;
    const known = person ? { name: person.name, email: person.email, phone: '' } : {};
    return form(request, reply, openWalk(request), known, {});
  }

  function form(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const taken = placesTaken(db.q, walk.id);
    return page(request, refused ? reply.code(422) : reply, 'signups/form', {
      title: `Sign up: ${walkTitle(walk, settings().units)}`,
      errorTitle: refused,
      narrow: true,
      noindex: true,
      action: `/walks/${walk.id}/sign-up`,
      walk: { id: walk.id, theme: walk.theme },
      meet: meetFrame(walk, settings()),
      left: Math.max(0, walk.capacity - taken.confirmed),
      waiting: taken.waiting,
      ...signUpForm(typed, faults, MOST_IN_PARTY),
      ...partyTexts(services),
      firstNameHint: 'Leave this empty if it is you.',
    });
  }

  function post(request: FastifyRequest, reply: FastifyReply) {
    const walk = openWalk(request);
    const typed = request.body as Typed;
    const [add, remove] = [line(typed, 'add') !== '', line(typed, 'removeMember')];
    if (add || remove !== '') return form(request, reply, walk, withParty(typed, { add, remove }), {});
    const hasWaiver = (email: string, name: string) => signedBy(db.q, [{ email }])(email, name);
    const read = readSignUp(typed, { country: countryOf(settings().locale), hasWaiver });
    if ('faults' in read) return form(request, reply, walk, typed, read.faults);
    const outcome = addSignUp(services, walk.id, read.form);
    if ('kept' in outcome) return reply.redirect(`/sign-ups/${signUpToken(services.sealer, outcome.kept)}`, 303);
    if (outcome.refused === 'over') throw closed(walk, 'This walk can no longer be joined', 'It was cancelled, or it has begun.');
    const email = 'This address has signed up for this walk already. We have mailed its private link again: change the party there.';
    return form(request, reply, walk, typed, { email });
  }

  return { show, post };
}

/** The rules and the waiver in force, as the form shows them. */
export function partyTexts(services: Services) {
  const rules = textInForce(services.db.q, 'rules');
  const waiver = textInForce(services.db.q, 'waiver');
  return { rules: { html: toHtml(rules.body), version: rules.version }, waiver: { html: toHtml(waiver.body), version: waiver.version } };
}

function closed(walk: WalkRow, heading: string, sentence: string): Problem {
  return new Problem(410, {
    heading,
    sentence,
    links: [
      { href: '/', label: 'See the coming walks' },
      { href: `/walks/${walk.id}`, label: 'Back to this walk' },
    ],
  });
}
