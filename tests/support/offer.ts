import { walkOffers } from '../../server/db/schema/index.js';
import { offerToken } from '../../server/together/link.js';
import { makeOffer, type NewOffer } from '../../server/together/offers.js';
import type { TestSite } from './app.js';
import type { Cast } from './cast.js';

/** The leader asks the other leader about the walk both of the cast know; gives the secret part of the address that answers it. */
export function askedToken(site: TestSite, cast: Cast, offer: Partial<NewOffer> = {}): string {
  const asked = { kind: 'hand-over', toPersonId: cast.ids['other leader'], stays: false, note: '', ...offer } as const;
  makeOffer(site.services, cast.walkId, cast.ids.leader, asked);
  return latestToken(site);
}

/** That of the offer made last. */
export function latestToken(site: TestSite): string {
  const latest = site.db.q.select().from(walkOffers).all().at(-1);
  return latest ? offerToken(site.services.sealer, { id: latest.id, madeAt: latest.createdAt }) : '';
}
