import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import { endOffersTo } from '../together/ends.js';
import { standDown } from './store.js';

/** A leader stops, or is stood down: they may post no more, nothing is asked of them, and what others had asked of them is closed and told. */
export function endLeading(tx: Tx, context: OweContext, personId: number, by: number): void {
  standDown(tx, personId, by, context.now);
  endOffersTo(tx, context, personId);
}
