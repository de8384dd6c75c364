import { and, asc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { signUps, walks } from '../db/schema/index.js';
import { type OweContext, owePlaceFreed } from '../notices/owe.js';
import { placesTaken } from '../walks/store.js';

/** The parties a walk's free places go to, in order: each first one that fits as a whole. Pure. */
export function partiesThatFit(free: number, waiting: { id: number; partySize: number }[]): number[] {
  const fitting: number[] = [];
  let left = free;
  for (const party of waiting) {
    if (party.partySize > left) continue;
    fitting.push(party.id);
    left -= party.partySize;
  }
  return fitting;
}

/** "3 parties are ahead of you": the line as every page tells it. Pure. */
export function aheadText(parties: number): string {
  if (parties === 0) return 'nobody is ahead of you';
  return parties === 1 ? '1 party is ahead of you' : `${parties} parties are ahead of you`;
}

/** Gives places that have come free to the waiting list, and owes each party the news. Runs in the transaction that freed them. */
export function fillFreedPlaces(tx: Tx, context: OweContext, walkId: number): void {
  const walk = tx
    .select({ capacity: walks.capacity, state: walks.state, gatherAt: walks.gatherAt })
    .from(walks)
    .where(eq(walks.id, walkId))
    .get();
  if (walk?.state !== 'posted' || walk.gatherAt <= context.now) return;
  const free = walk.capacity - placesTaken(tx, walkId).confirmed;
  if (free <= 0) return;
  const waiting = tx
    .select({ id: signUps.id, partySize: signUps.partySize })
    .from(signUps)
    .where(and(eq(signUps.walkId, walkId), eq(signUps.state, 'waiting')))
    .orderBy(asc(signUps.id))
    .all();
  for (const id of partiesThatFit(free, waiting)) {
    tx.update(signUps).set({ state: 'confirmed' }).where(eq(signUps.id, id)).run();
    owePlaceFreed(tx, context, id);
  }
}
