import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { OWN_CONSENT, OWN_INTENT } from '../waivers/words.js';
import { leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed, ticked } from '../web/forms.js';
import { isolated, names } from '../web/isolated.js';
import { page } from '../web/page.js';
import { countryOf } from '../web/phone.js';
import { traceOf } from './given.js';
import { openingsFor } from './openings.js';
import { readOwnSigning, signatureField, type ToSign } from './own-signing.js';
import { textsInForce, withoutUnread } from './shown-texts.js';
import { partyTexts } from './sign-up-model.js';
import { type Absent, absentByToken, keepOwnSigning, leaveParty } from './signing-store.js';

const LABELS: Record<string, string> = {
  name: 'Your name',
  contactName: 'Whom to phone, name',
  contactRelation: 'Whom to phone, relation',
  contactPhone: 'Whom to phone, number',
  note: 'For a first-aider',
  agreeRules: 'Rules',
  agreeWaiver: 'Waiver',
};

const CONTACT = ['contactName', 'contactRelation', 'contactPhone', 'note'];

/** The page on which an adult who was booked for reads and signs, or says that they are not coming. */
export function signingPages(services: Services) {
  const { settings, now } = services;

  function find(request: FastifyRequest): Absent {
    const absent = absentByToken(services, (request.params as { token: string }).token);
    if (absent && absent.signUp.state !== 'withdrawn') return absent;
    throw new Problem(404, {
      heading: 'This link leads nowhere any more',
      sentence:
        'It may have been cut off in the mail, or you are not in that party any more. If you want to come, ask whoever booked for you, or sign up yourself.',
      links: [{ href: '/', label: 'See the coming walks' }],
    });
  }

  function mayChange({ walk }: Absent): boolean {
    return walk.state === 'posted' && walk.gatherAt > now();
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const absent = find(request);
    const { saved, leave } = request.query as { saved?: string; leave?: string };
    const typed = { name: absent.self.name, photos: absent.self.photos ? 'yes' : '' };
    return answer(request, reply, absent, { typed, faults: {}, saved: saved !== undefined, leaving: leave !== undefined });
  }

  interface Shown {
    typed: Typed;
    faults: Faults;
    saved?: boolean;
    leaving?: boolean;
  }

  function answer(request: FastifyRequest, reply: FastifyReply, absent: Absent, { typed, faults, saved, leaving }: Shown) {
    const { self, minors, walk, signUp } = absent;
    const refused = Object.keys(faults).length > 0;
    const people = toSign(absent);
    const isDone = people.every((one) => one.signed) && absent.hasContact && self.rulesAgreedAt !== null;
    const texts = partyTexts(services);
    const heading = headingOf(isDone, walk.gatherAt <= now());
    return page(request, (refused ? reply.code(422) : reply).header('Cache-Control', 'no-store'), 'signups/signing', {
      title: `${heading}: ${walkTitle(walk, settings().units)}`,
      heading,
      walkTitle: walkTitle(walk, settings().units),
      errorTitle: refused,
      narrow: true,
      noindex: true,
      action: request.url.split('?')[0],
      walk: { href: `/walks/${walk.id}` },
      meet: meetFrame(walk, settings()),
      noCalendar: !isDone || signUp.state !== 'confirmed' || walk.state === 'cancelled',
      bookedBy: isolated(signUp.name),
      leader: leadersOf(services.db.q, walk.id)[0] ?? null,
      bring: walk.bring,
      waiting: signUp.state === 'waiting',
      cancelled: walk.state === 'cancelled' ? (walk.cancelReason ?? 'No reason was given.') : null,
      mayChange: mayChange(absent),
      saved,
      leaving,
      isDone,
      minors: names(minors.map((minor) => minor.name)),
      form: {
        ...Object.fromEntries(['name', ...CONTACT].map((field) => [field, line(typed, field)])),
        photos: ticked(typed, 'photos'),
        agreeRules: ticked(typed, 'agreeRules'),
        agreeWaiver: ticked(typed, 'agreeWaiver'),
      },
      openings: openingsFor(services, walk, [self, ...minors]),
      hasContact: absent.hasContact,
      contactFolded: absent.hasContact && !CONTACT.some((field) => line(typed, field) !== '' || faults[field] !== undefined),
      agreedRules: self.rulesAgreedAt !== null,
      signers: people
        .filter((one) => !one.signed || faults[signatureField(one.memberId)] !== undefined)
        .map((one) => signatureRow(one, typed, faults, self.id)),
      faults,
      errors: summary(
        faults,
        (field) => LABELS[field] ?? `Signature for ${people.find((one) => signatureField(one.memberId) === field)?.signing.forName ?? ''}`,
      ),
      rules: texts.rules,
      waiver: { ...texts.waiver, agree: `${OWN_INTENT} ${OWN_CONSENT}` },
    });
  }

  function sign(request: FastifyRequest, reply: FastifyReply) {
    const absent = find(request);
    if (!mayChange(absent)) throw over(request);
    const texts = textsInForce(services.db.q);
    const typed = withoutUnread(request.body as Typed, texts);
    const read = readOwnSigning(typed, {
      texts,
      country: countryOf(settings().locale),
      people: toSign(absent),
      self: absent.self.id,
      others: absent.others,
      hasContact: absent.hasContact,
      agreedRules: absent.self.rulesAgreedAt !== null,
    });
    if ('faults' in read) return answer(request, reply, absent, { typed, faults: read.faults });
    keepOwnSigning(services, absent, read.given, { ...texts, trace: traceOf(request) });
    return reply.redirect(`${request.url.split('?')[0]}?saved=1`, 303);
  }

  function leave(request: FastifyRequest, reply: FastifyReply) {
    const absent = find(request);
    if (!mayChange(absent)) throw over(request);
    leaveParty(services, absent);
    return page(request, reply.header('Cache-Control', 'no-store'), 'problem', {
      title: 'You have left the party',
      heading: `${absent.minors.length === 0 ? 'You are' : `You and ${names(absent.minors.map((minor) => minor.name))} are`} off this walk`,
      sentence: `${absent.signUp.name} hears of it by mail. Your address is forgotten; a waiver that you signed is kept.`,
      links: [{ href: '/', label: 'See the coming walks' }],
      noindex: true,
    });
  }

  return { show, sign, leave };
}

function headingOf(isDone: boolean, over: boolean): string {
  if (over) return 'This walk has been';
  return isDone ? 'You are signed up' : 'Read and sign';
}

function toSign({ self, minors }: Absent): ToSign[] {
  return [self, ...minors].flatMap(({ id, signing, waiver }) => (signing ? [{ memberId: id, signing, signed: waiver }] : []));
}

function signatureRow({ memberId, signing }: ToSign, typed: Typed, faults: Faults, self: number) {
  const field = signatureField(memberId);
  return {
    id: field,
    value: line(typed, field),
    error: faults[field],
    label: memberId === self ? 'You sign: type your full name' : `You sign for ${signing.forName}, under 18: type your full name`,
    autocomplete: 'name',
  };
}

function over(request: FastifyRequest): Problem {
  return new Problem(409, {
    heading: 'It is too late for this',
    sentence: 'The walk is cancelled or has begun. Speak to the leader.',
    links: [{ href: request.url.replace(/\/leave$/, ''), label: 'Back' }],
  });
}
