import { hashed, type Sealer } from '../db/seal.js';

/** What an offer's private address is worked out from. `madeAt` (ms): numbers may come again in a database that was put back from a backup. */
export interface OfferKey {
  id: number;
  madeAt: number;
}

/** The secret part of the address by which an offer is answered. */
export function offerToken(sealer: Sealer, { id, madeAt }: OfferKey): string {
  return sealer.derive('offer', `${id}:${madeAt}`);
}

export function offerTokenHash(sealer: Sealer, key: OfferKey): string {
  return hashed(offerToken(sealer, key));
}

export function offerLink(sealer: Sealer, baseUrl: string, key: OfferKey): string {
  return `${baseUrl}/offers/${offerToken(sealer, key)}`;
}
