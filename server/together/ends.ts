import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import type { WalkRow } from '../walks/ledby.js';
import { walkById } from '../walks/store.js';
import { dropUnheard, named, oweLeading, oweOfferEnded } from './owe.js';
import { endOffer, openOffersOn, openOffersTo } from './store.js';

/** Closes the open offers of a walk that is cancelled, in the same transaction; who was asked is told. */
export function endOffersOn(tx: Tx, context: OweContext, walk: WalkRow): void {
  for (const open of openOffersOn(tx, walk.id)) {
    endOffer(tx, open.offer.id, { state: 'closed', now: context.now });
    oweOfferEnded(tx, context, walk, { ...open, news: 'cancelled' });
  }
}

/** Closes the open offers to a leader who is stood down, in the same transaction; who asked is told, and can ask another. */
export function endOffersTo(tx: Tx, context: OweContext, personId: number): void {
  for (const { offer, to, by } of openOffersTo(tx, personId)) {
    endOffer(tx, offer.id, { state: 'closed', now: context.now });
    dropUnheard(tx, offer.id);
    const walk = walkById(tx, offer.walkId);
    if (!walk) continue;
    const said = { news: 'left', kind: offer.kind, by: named(to), to: named(by), note: '' } as const;
    oweLeading(tx, context, walk, { event: `offer-left:${offer.id}`, to: by.personId, said });
  }
}
