import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { signedBy } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { leadersOf, placesTaken, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { checkWaivers, MOST_IN_PARTY, readMembers, readNameAndPhone } from './form.js';
import { signUpForm, withParty } from './form-page.js';
import { partyOf, placeInLine } from './party.js';
import { countryOf } from './phone.js';
import { partyTexts } from './sign-up-pages.js';
import { changeParty, type SignUpRow, signUpByToken, withdrawSignUp } from './store.js';

/** A walker's own page of a sign-up: whoever has the link may change the party or withdraw. */
export function privatePages(services: Services) {
  const { db, settings } = services;

  function own(request: FastifyRequest): { signUp: SignUpRow; walk: WalkRow; token: string } {
    const { token } = request.params as { token: string };
    const signUp = signUpByToken(db.q, token);
    const walk = signUp && walkById(db.q, signUp.walkId);
    if (signUp && walk) return { signUp, walk, token };
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
    const { signUp } = own(request);
    return form(request, reply, standing(signUp), {});
  }

  /** The party as it stands, as if it had been typed. Sealed contacts stay sealed: their fields are empty, and empty keeps them. */
  function standing(signUp: SignUpRow): Typed {
    const members = partyOf(db.q, signUp).map((member) => ({
      id: String(member.id),
      name: member.name,
      waiver: member.waiver ? 'yes' : '',
    }));
    return { name: signUp.name, phone: signUp.phoneTyped, members };
  }

  function form(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const { signUp, walk, token } = own(request);
    const refused = Object.keys(faults).length > 0;
    const leader = leadersOf(db.q, walk.id)[0];
    const party = partyOf(db.q, signUp);
    return page(request, (refused ? reply.code(422) : reply).header('Cache-Control', 'no-store'), 'signups/private', {
      title: walkTitle(walk, settings().units),
      errorTitle: refused,
      noindex: true,
      action: `/sign-ups/${token}`,
      walk: { id: walk.id, theme: walk.theme, bring: walk.bring, directions: walk.directions },
      meet: meetFrame(walk, settings()),
      state: { confirmed: signUp.state === 'confirmed', waiting: signUp.state === 'waiting', withdrawn: signUp.state === 'withdrawn' },
      place: signUp.state === 'waiting' ? placeInLine(db.q, signUp) : null,
      cancelled: walk.state === 'cancelled' ? walk.cancelReason : null,
      mayChange: mayChange(signUp, walk),
      signUp: { name: signUp.name, email: signUp.email },
      party: party.map((member) => member.name).join(', '),
      leader: leader ? { name: leader.name, phone: leader.phone } : null,
      ...signUpForm(typed, faults, MOST_IN_PARTY),
      open: refused || request.method === 'POST',
      ...partyTexts(services),
    });
  }

  function mayChange(signUp: SignUpRow, walk: WalkRow): boolean {
    return signUp.state !== 'withdrawn' && walk.state === 'posted' && walk.gatherAt > services.now();
  }

  function change(request: FastifyRequest, reply: FastifyReply) {
    const { signUp, walk, token } = own(request);
    if (!mayChange(signUp, walk)) throw tooLate(signUp, walk, token);
    const typed = request.body as Typed;
    const [add, remove] = [line(typed, 'add') !== '', line(typed, 'removeMember')];
    if (add || remove !== '') return form(request, reply, withParty(typed, { add, remove }), {});
    const faults: Faults = {};
    const facts = {
      country: countryOf(settings().locale),
      known: new Set(partyOf(db.q, signUp).map((member) => member.id)),
      hasWaiver: signedBy(db.q, [signUp]),
    };
    const who = readNameAndPhone(typed, facts.country, faults);
    const members = readMembers(typed, who.name, facts, faults);
    checkWaivers(typed, signUp.email, members, facts, faults);
    if (Object.keys(faults).length > 0) return form(request, reply, typed, faults);
    if (changeParty(services, signUp.id, { ...who, members }) === 'full') {
      const left = Math.max(0, walk.capacity - placesTaken(db.q, walk.id).confirmed);
      const sentence =
        left === 0 ? 'No place is left for anyone more.' : `Only ${left} more ${left === 1 ? 'place is' : 'places are'} left.`;
      return form(request, reply, typed, {
        [`members[${members.length - 1}][name]`]: `${sentence} Your party keeps the places it has: remove the last one added.`,
      });
    }
    return reply.redirect(`/sign-ups/${token}`, 303);
  }

  function withdraw(request: FastifyRequest, reply: FastifyReply) {
    const { signUp, walk, token } = own(request);
    if (signUp.state !== 'withdrawn' && !mayChange(signUp, walk)) throw tooLate(signUp, walk, token);
    withdrawSignUp(services, signUp.id);
    return reply.redirect(`/sign-ups/${token}`, 303);
  }

  return { show, change, withdraw };
}

function tooLate(signUp: SignUpRow, walk: WalkRow, token: string): Problem {
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
