import type { Tx } from '../db/open.js';
import { walkById } from '../walks/store.js';
import type { TogetherContent } from './content.js';
import { offerStanding } from './rules.js';
import { offerById } from './store.js';

/** Whether what a mail asks can still be answered. @param now ms */
export function offerStands(q: Tx, { offer }: Pick<TogetherContent, 'offer'>, now: number): boolean {
  const found = offer && offerById(q, offer.id);
  const walk = found && walkById(q, found.offer.walkId);
  // Numbers may come again in a database that was put back from a backup.
  if (!found || !walk || found.offer.createdAt !== offer.madeAt) return false;
  return offerStanding(found.offer, walk, found.approved, now) === 'open';
}
