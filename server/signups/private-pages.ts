import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { signedBy } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { placesTaken, walkById } from '../walks/store.js';
import { Problem } from '../web/errors.js';
import type { Faults, Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { countryOf } from '../web/phone.js';
import { readParty } from './form.js';
import { type Change, changeAsked, withParty } from './form-page.js';
import { partyOf } from './party.js';
import { type OwnSignUp, placesFor, privatePage, withdrawPage } from './private-model.js';
import { changeParty, type SignUpRow, signUpByToken, withdrawSignUp } from './store.js';

/** A walker's own page of a sign-up: whoever has the link may change the party or withdraw. */
export function privatePages(services: Services) {
  const { db, settings } = services;

  function find(request: FastifyRequest): OwnSignUp {
    const { token } = request.params as { token: string };
    const signUp = signUpByToken(db.q, token);
    const walk = signUp && walkById(db.q, signUp.walkId);
    if (signUp && walk) return { signUp, walk, token, mayChange: mayChange(signUp, walk, services.now()) };
    throw new Problem(404, {
      heading: 'This link leads nowhere',
      sentence:
        'It may have been cut off in the mail. Open it from the mail again, or copy the whole of it. If the mail is gone, sign in with your e-mail address: your sign-ups are listed there.',
      links: [
        { href: '/sign-in', label: 'Sign in by mail' },
        { href: '/', label: 'See the coming walks' },
      ],
    });
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const own = find(request);
    const { withdraw, saved } = request.query as { withdraw?: string; saved?: string };
    reply.header('Cache-Control', 'no-store');
    if (withdraw && own.mayChange) return page(request, reply, 'signups/withdraw', withdrawPage(services, own));
    const shown = { typed: standing(own.signUp), faults: {}, saved: saved !== undefined };
    return page(request, reply, 'signups/private', privatePage(services, own, shown));
  }

  /** The party as it stands, as if it had been typed. Sealed contacts stay sealed: their fields are empty, and empty keeps them. */
  function standing(signUp: SignUpRow): Typed {
    const members = partyOf(db.q, signUp).map((member) => ({ id: String(member.id), name: member.name }));
    return { name: signUp.name, phone: signUp.phoneTyped, members };
  }

  function form(request: FastifyRequest, reply: FastifyReply, own: OwnSignUp, shown: { typed: Typed; faults: Faults; change?: Change }) {
    const answer = Object.keys(shown.faults).length > 0 ? reply.code(422) : reply;
    return page(request, answer.header('Cache-Control', 'no-store'), 'signups/private', privatePage(services, own, shown));
  }

  function change(request: FastifyRequest, reply: FastifyReply) {
    const own = find(request);
    const { signUp, walk, token } = own;
    if (!own.mayChange) throw tooLate(own);
    const typed = request.body as Typed;
    const asked = changeAsked(typed);
    if (asked) return form(request, reply, own, { typed: withParty(typed, asked), faults: {}, change: asked });
    const read = readParty(typed, signUp.email, {
      country: countryOf(settings().locale),
      places: placesFor(own),
      known: new Set(partyOf(db.q, signUp).map((member) => member.id)),
      hasWaiver: signedBy(db.q, [signUp]),
    });
    if ('faults' in read) return form(request, reply, own, { typed, faults: read.faults });
    if (changeParty(services, signUp.id, read.form) === 'changed') return reply.redirect(`/sign-ups/${token}?saved=1`, 303);
    const last = `members[${read.form.members.length - 1}][name]`;
    return form(request, reply, own, { typed, faults: { [last]: full(walk.capacity - placesTaken(db.q, walk.id).confirmed) } });
  }

  function withdraw(request: FastifyRequest, reply: FastifyReply) {
    const own = find(request);
    if (own.signUp.state !== 'withdrawn' && !own.mayChange) throw tooLate(own);
    withdrawSignUp(services, own.signUp.id);
    return reply.redirect(`/sign-ups/${own.token}`, 303);
  }

  return { show, change, withdraw };
}

function mayChange(signUp: SignUpRow, walk: WalkRow, now: number): boolean {
  return signUp.state !== 'withdrawn' && walk.state === 'posted' && walk.gatherAt > now;
}

function full(left: number): string {
  const sentence = left <= 0 ? 'No place is left for anyone more.' : `Only ${left} more ${left === 1 ? 'place is' : 'places are'} left.`;
  return `${sentence} Your party keeps the places it has: remove the last one added.`;
}

function tooLate({ signUp, walk, token }: OwnSignUp): Problem {
  const withdrawn = signUp.state === 'withdrawn';
  const sentence = withdrawn
    ? 'You can sign up again while there are places.'
    : 'The walk is cancelled or has begun. To reach the leader, see your sign-up.';
  return new Problem(409, {
    heading: withdrawn ? 'You have withdrawn from this walk' : 'It is too late to change this',
    sentence,
    links: [withdrawn ? { href: `/walks/${walk.id}`, label: 'See the walk' } : { href: `/sign-ups/${token}`, label: 'See your sign-up' }],
  });
}
