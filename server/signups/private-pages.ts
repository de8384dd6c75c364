import type { FastifyReply, FastifyRequest } from 'fastify';
import { contactsKeptOn } from '../contacts/sealed.js';
import { oweToSign } from '../notices/owe-signing.js';
import type { Services } from '../services.js';
import { inForce } from '../waivers/store.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { placesTaken, walkById } from '../walks/store.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { countryOf } from '../web/phone.js';
import { readParty } from './form.js';
import { type Given, traceOf } from './given.js';
import { mailProof } from './link.js';
import { isMinorOn } from './minors.js';
import { membersOf, partyOf } from './party.js';
import { type Change, changeAsked, withParty } from './party-buttons.js';
import { type OwnSignUp, placesFor, privatePage, withdrawPage } from './private-model.js';
import { textsInForce, unread, withoutUnread } from './shown-texts.js';
import { changeParty, keepProof, type SignUpRow, signUpByToken, withdrawSignUp } from './store.js';

interface Changed {
  typed: Typed;
  faults: Faults;
  change?: Change;
  alsoRemoved?: string[];
}

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
    const { withdraw, saved, asked, thanked, open } = request.query as Partial<Record<string, string>>;
    const mail = proofIn(request.query as Typed, own);
    reply.header('Cache-Control', 'no-store');
    if (withdraw && own.mayChange) return page(request, reply, 'signups/withdraw', withdrawPage(services, own));
    const shown = {
      typed: standing(own.signUp),
      faults: {},
      saved: saved !== undefined,
      asked: asked !== undefined,
      thanked: thanked !== undefined,
      opened: open !== undefined,
      mail,
    };
    return page(request, reply, 'signups/private', privatePage(services, own, shown));
  }

  /** The party as it stands, as if it had been typed. Sealed contacts stay sealed: their fields are empty, and empty keeps them. */
  function standing(signUp: SignUpRow): Typed {
    const party = membersOf(db.q, signUp.id);
    const place = new Map(party.map((member, index) => [member.id, String(index)]));
    const members = party.map((member) => ({
      id: String(member.id),
      name: member.name,
      // Whoever is 18 on the day signs for themself.
      minor: isMinorOn(member, member.date) ? 'yes' : '',
      guardian: place.get(member.guardianId ?? 0) ?? '',
      adultOn: member.adultOn,
      email: member.email ?? '',
      photos: member.photos ? 'yes' : '',
    }));
    return { name: signUp.name, phone: signUp.phoneTyped, members };
  }

  function form(request: FastifyRequest, reply: FastifyReply, own: OwnSignUp, shown: Changed) {
    const answer = Object.keys(shown.faults).length > 0 ? reply.code(422) : reply;
    const mail = proofIn(request.body as Typed, own);
    return page(request, answer.header('Cache-Control', 'no-store'), 'signups/private', privatePage(services, own, { ...shown, mail }));
  }

  function change(request: FastifyRequest, reply: FastifyReply) {
    const own = find(request);
    const { signUp, walk, token } = own;
    if (!own.mayChange) throw tooLate(own);
    const posted = request.body as Typed;
    const texts = textsInForce(db.q);
    const typed = withoutUnread(posted, texts);
    const asked = changeAsked(typed);
    if (asked) return form(request, reply, own, { ...withParty(typed, asked), faults: unread(posted, texts), change: asked });
    const read = readParty(typed, signUp.email, {
      texts,
      country: countryOf(settings().locale),
      places: placesFor(own),
      minors: walk.minors,
      date: walk.wallDate,
      known: known(own),
      hasWaiver: (signing) => inForce(db.q, oweContext(services), [signing.email])(signing, signUp.id),
    });
    if ('faults' in read) return form(request, reply, own, { typed, faults: read.faults });
    if (changeParty(services, signUp.id, read.form, { ...given(request, own), texts }) === 'changed')
      return reply.redirect(`/sign-ups/${token}?saved=1`, 303);
    const last = `members[${read.form.members.length - 1}][name]`;
    return form(request, reply, own, { typed, faults: { [last]: full(walk.capacity - placesTaken(db.q, walk.id).confirmed) } });
  }

  function withdraw(request: FastifyRequest, reply: FastifyReply) {
    const own = find(request);
    if (own.signUp.state !== 'withdrawn' && !own.mayChange) throw tooLate(own);
    withdrawSignUp(services, own.signUp.id);
    return reply.redirect(`/sign-ups/${own.token}`, 303);
  }

  /** The members there are, as they stand. */
  function known({ signUp, walk }: OwnSignUp) {
    const kept = contactsKeptOn(db.q, walk.id);
    const party = membersOf(db.q, signUp.id);
    return new Map(party.map(({ id, email, minor }) => [id, { hasContact: kept.has(id), email: email ?? '', minor }]));
  }

  /** The proof that stands in mailed links, where the visitor brought it. */
  function proofIn(sent: Typed, { signUp }: OwnSignUp): string {
    const proof = line(sent, 'mail');
    return proof === mailProof(services.sealer, signUp.id) ? proof : '';
  }

  /** What shows, in this very request, that it is the booker who acts; kept the first time. */
  function given(request: FastifyRequest, own: OwnSignUp): Given {
    const trace = traceOf(request);
    const { signUp } = own;
    if (request.visitor.person?.email === signUp.email) return { proof: 'signed in', trace };
    if (proofIn(request.body as Typed, own) === '') return { proof: 'none', trace };
    if (signUp.provedAt === null) db.write((tx) => keepProof(tx, signUp.id, services.now()));
    return { proof: 'link', trace };
  }

  /** "Yes, this mail reached me": without it nothing is lost, with it the signatures prove more. */
  function prove(request: FastifyRequest, reply: FastifyReply) {
    const own = find(request);
    given(request, own);
    return reply.redirect(`/sign-ups/${own.token}?thanked=1`, 303);
  }

  /** Mails an absent adult their link once more. */
  function askAgain(request: FastifyRequest, reply: FastifyReply) {
    const own = find(request);
    if (!own.mayChange) throw tooLate(own);
    const memberId = Number(line(request.body as Typed, 'member'));
    const member = partyOf(db.q, own.signUp, oweContext(services)).find((one) => one.id === memberId);
    if (member?.email && !member.waiver) {
      db.write((tx) => oweToSign(tx, oweContext(services), { signUpId: own.signUp.id, memberId, again: true }));
      services.mailOwed();
    }
    return reply.redirect(`/sign-ups/${own.token}?asked=1`, 303);
  }

  return { show, change, withdraw, prove, askAgain };
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
