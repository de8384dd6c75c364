import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkById } from '../walks/store.js';
import type { OfferKind } from './content.js';
import { handOver } from './hand-over.js';
import { dropUnheard, named, oweAnswer, oweLeading, oweOffer, oweOfferEnded } from './owe.js';
import { mayChangeLeaders, type OfferStanding, offerFault, offerStanding } from './rules.js';
import { addCoLeader, addOffer, candidates, endOffer, type Offer, offerById, openOffersOn, partsOf } from './store.js';

export interface NewOffer {
  kind: OfferKind;
  toPersonId: number;
  stays: boolean;
  note: string;
}

/** Asks a leader, and owes them the mail; a sentence where they can't be asked any more. Asking twice is asking once. */
export function makeOffer(services: Services, walkId: number, by: number, offer: NewOffer): { fault: string } | null {
  const fault = services.db.write((tx) => {
    const walk = walkById(tx, walkId);
    if (!walk || !mayChangeLeaders(walk, services.now())) return 'It is too late: the walk has begun, or is cancelled.';
    const fault = offerFault(
      candidates(tx, walk, services.now()).find((one) => one.personId === offer.toPersonId),
      offer.kind,
      by,
    );
    if (fault !== null) return fault;
    const added = addOffer(tx, services.sealer, { ...offer, walkId, byPersonId: by }, services.now());
    const made = added && offerById(tx, added.id);
    if (made) oweOffer(tx, oweContext(services), walk, made);
    return null;
  });
  services.mailOwed();
  return fault === null ? null : { fault };
}

/** Takes an open offer of a walk back, and tells who was asked. */
export function withdrawOffer(services: Services, walk: WalkRow, offerId: number): void {
  services.db.write((tx) => {
    const open = openOffersOn(tx, walk.id).find((one) => one.offer.id === offerId);
    if (!open) return;
    endOffer(tx, offerId, { state: 'withdrawn', now: services.now() });
    oweOfferEnded(tx, oweContext(services), walk, { ...open, news: 'withdrawn' });
  });
  services.mailOwed();
}

/** An answer to an offer, by whoever brings its private address. */
export interface Answer {
  accept: boolean;
  words: string;
}

/** Answers an offer if it is open; gives how it stood before. Of two who accept to lead a walk at once, the first has it. */
export function answerOffer(services: Services, offerId: number, answer: Answer): OfferStanding {
  const standing = services.db.write((tx) => {
    const open = offerById(tx, offerId);
    const walk = open && walkById(tx, open.offer.walkId);
    if (!open || !walk) return 'closed';
    const standing = offerStanding(open.offer, walk, open.approved, services.now());
    if (standing === 'open') keepAnswer(tx, oweContext(services), { open, walk, answer });
    return standing;
  });
  services.mailOwed();
  return standing;
}

function keepAnswer(tx: Tx, context: OweContext, { open, walk, answer }: { open: Offer; walk: WalkRow; answer: Answer }): void {
  const state = answer.accept ? 'accepted' : 'declined';
  endOffer(tx, open.offer.id, { state, words: answer.words, now: context.now });
  // Who answers on their own page need not be asked by mail any more.
  dropUnheard(tx, open.offer.id);
  if (answer.accept) takePart(tx, context, open, walk);
  oweAnswer(tx, context, walk, { ...open, offer: { ...open.offer, state } }, answer.words);
}

function takePart(tx: Tx, context: OweContext, { offer, to, by }: Offer, walk: WalkRow): void {
  if (offer.kind === 'hand-over') {
    handOver(tx, context, walk, { to: to.personId, by: to.personId, arranged: by.personId, stays: offer.stays });
    return;
  }
  addCoLeader(tx, walk.id, to.personId);
  const [leader] = partsOf(tx, walk.id);
  if (!leader?.approved || leader.personId === by.personId) return;
  const said = { news: 'shared', kind: 'co-leader', by: named(to), to: named(leader), note: '' } as const;
  oweLeading(tx, context, walk, { event: `shared:${offer.id}`, to: leader.personId, said });
}
