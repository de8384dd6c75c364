import type { FastifyReply, FastifyRequest } from 'fastify';
import { keptFor, usedKept } from '../contacts/kept.js';
import { readEmail } from '../people/email.js';
import { personById } from '../people/store.js';
import type { Services } from '../services.js';
import { inForce } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkById } from '../walks/store.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import { countryOf, phoneText } from '../web/phone.js';
import type { Person } from '../web/visitor.js';
import { readSignUp, type SignUpForm } from './form.js';
import { traceOf } from './given.js';
import { signUpToken } from './link.js';
import { type Change, changeAsked, withParty } from './party-buttons.js';
import { textsInForce, unread, withoutUnread } from './shown-texts.js';
import { signUpPage } from './sign-up-model.js';
import { addSignUp } from './store.js';

interface Shown {
  typed: Typed;
  faults: Faults;
  change?: Change;
  alsoRemoved?: string[];
}

/** Signing up: one page, no password. */
export function signUpPages(services: Services) {
  const { db, settings } = services;

  function openWalk(request: FastifyRequest): WalkRow {
    const walk = walkById(db.q, Number((request.params as { walk: string }).walk));
    if (!walk || walk.postedAt === null) throw Problem.notFound('There is no walk at this address. It may have been mistyped.');
    if (walk.state === 'cancelled')
      throw closed(walk, 'This walk is cancelled', `Nobody can sign up for it: ${withStop(walk.cancelReason ?? 'no reason was given')}`);
    if (walk.state !== 'posted' || walk.gatherAt <= services.now())
      throw closed(walk, 'This walk has begun', 'Signing up ended when people gathered.');
    return walk;
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const person = request.visitor.person;
    const known = person ? { name: person.name, email: person.email, phone: phoneText(personById(db.q, person.id)?.phone ?? '') } : {};
    return form(request, reply, openWalk(request), { typed: known, faults: {} });
  }

  function form(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, shown: Shown) {
    const refused = Object.keys(shown.faults).length > 0;
    const model = signUpPage(services, walk, { ...shown, person: request.visitor.person });
    return page(request, refused ? reply.code(422) : reply, 'signups/form', model);
  }

  async function post(request: FastifyRequest, reply: FastifyReply) {
    const walk = openWalk(request);
    const posted = request.body as Typed;
    const texts = textsInForce(db.q);
    const typed = withoutUnread(posted, texts);
    const change = changeAsked(typed);
    if (change) return form(request, reply, walk, { ...withParty(typed, change), faults: unread(posted, texts), change });
    const { person } = request.visitor;
    const read = readSignUp(typed, {
      tellsSigned: isSelf(typed, person),
      texts,
      country: countryOf(settings().locale),
      places: walk.capacity,
      minors: walk.minors,
      date: walk.wallDate,
      hasWaiver: (signing) => inForce(db.q, oweContext(services), [signing.email])(signing),
      keptContact: (name) => (person === null ? null : keptFor(db.q, services, person.id, name)),
    });
    if ('faults' in read) return form(request, reply, walk, { typed, faults: read.faults });
    const isOwn = person !== null && person.email === read.form.email;
    const outcome = await addSignUp(services, walk.id, read.form, {
      proof: isOwn ? 'signed in' : 'none',
      trace: traceOf(request),
      texts,
      ...(isOwn && ticked(typed, 'keepContacts') ? { keepFor: person.id } : {}),
    });
    if ('kept' in outcome && person !== null) db.write((tx) => usedKept(tx, person.id, namesIn(read.form), services.now()));
    if ('kept' in outcome) return reply.redirect(`/sign-ups/${signUpToken(services.sealer, outcome.kept)}`, 303);
    if (outcome.refused === 'over') throw closed(walk, 'This walk can no longer be joined', 'It was cancelled, or it has begun.');
    const email = 'This address has signed up for this walk already. We have mailed its private link again: change the party there.';
    return form(request, reply, walk, { typed, faults: { email } });
  }

  return { show, post };
}

/** Whether the form gives the address that the visitor is signed in with. */
function isSelf(typed: Typed, person: Person | null): boolean {
  return person !== null && readEmail(line(typed, 'email')) === person.email;
}

function namesIn(form: SignUpForm): string[] {
  return form.members.map((member) => member.name);
}

/** A sentence someone else wrote, with one stop at its end whether or not they made it. */
function withStop(text: string): string {
  return /[.!?…]$/.test(text.trim()) ? text.trim() : `${text.trim()}.`;
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
