import type { FastifyReply, FastifyRequest } from 'fastify';
import { isPostingOpen } from '../joining/renewal.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { placesTaken, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { readAnswer } from './form.js';
import { clashes } from './model.js';
import { answerOffer } from './offers.js';
import { type OfferStanding, offerStanding } from './rules.js';
import { type Standing, standingWords } from './standing-words.js';
import { type Offer, offerByToken, partsOf } from './store.js';

const LABELS: Record<string, string> = { answer: 'Your answer', words: 'A few words' };

/** Answering an offer, by its private address. Looking changes nothing. */
export function offerPages(services: Services) {
  const { db, settings, now } = services;

  function find(request: FastifyRequest): { found: Offer; walk: WalkRow } {
    const found = offerByToken(db.q, (request.params as { token: string }).token);
    const walk = found && walkById(db.q, found.offer.walkId);
    if (found && walk) return { found, walk };
    throw new Problem(404, {
      heading: 'This link leads nowhere any more',
      sentence: 'It may have been cut off in the mail, or the walk was long ago. Sign in to see what you are asked.',
      links: [
        { href: '/lead', label: 'Your walks' },
        { href: '/', label: 'See the coming walks' },
      ],
    });
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    return answer(request, reply, {}, {});
  }

  function answer(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const { found, walk } = find(request);
    const { offer, to, by } = found;
    const refused = Object.keys(faults).length > 0;
    const standing = offerStanding(offer, walk, found.approved, now());
    const parts = partsOf(db.q, walk.id);
    const isOpen = standing === 'open';
    // Afterwards the link says what became of the question, and no more: a draft's place and route are not for whoever kept it.
    const shown = isOpen || (standing === 'accepted' && parts.some(({ personId }) => personId === to.personId));
    const words = standingWords(statedAs(standing, found, parts));
    return page(request, refused ? reply.code(422) : reply, 'together/offer', {
      title: shown ? `${words.heading}: ${walkTitle(walk, settings().units)}` : words.heading,
      shown,
      heading: words.heading,
      sentence: words.sentence,
      walkTitle: walkTitle(walk, settings().units),
      errorTitle: refused,
      narrow: true,
      noindex: true,
      action: request.url.split('?')[0],
      isOpen,
      lead: offer.kind === 'hand-over',
      stays: offer.stays,
      by: by.name,
      to: to.name,
      note: offer.note,
      agreementDue: isOpen && !isPostingOpen({ dueAt: found.agreementDueAt }, now()),
      meet: meetFrame(walk, settings()),
      parts: parts.map(({ name, part, approved }) => ({ name, part, gone: !approved })),
      taken: walk.postedAt === null ? null : placesTaken(db.q, walk.id),
      capacity: walk.capacity,
      clashes: isOpen ? clashes({ q: db.q, settings: settings() }, walk, to.personId) : [],
      publicPage: walk.postedAt === null ? null : `/walks/${walk.id}`,
      leadPage: words.leads ? `/lead/walks/${walk.id}` : null,
      form: { words: line(typed, 'words') },
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function statedAs(standing: OfferStanding, { offer, to, by }: Offer, parts: ReturnType<typeof partsOf>): Standing {
    const part = parts.find((one) => one.personId === to.personId)?.part ?? null;
    const leader = parts[0] && parts[0].personId !== to.personId ? parts[0].name : null;
    return { standing, lead: offer.kind === 'hand-over', part, by: by.name, leader };
  }

  function post(request: FastifyRequest, reply: FastifyReply) {
    const { found, walk } = find(request);
    const typed = request.body as Typed;
    const isOpen = offerStanding(found.offer, walk, found.approved, now()) === 'open';
    const read = readAnswer(typed);
    // Too late whatever was typed: the page says how it stands.
    if (isOpen && 'faults' in read) return answer(request, reply, typed, read.faults);
    if ('form' in read) answerOffer(services, found.offer.id, read.form);
    return reply.redirect(request.url.split('?')[0] ?? '/', 303);
  }

  return { show, post };
}
