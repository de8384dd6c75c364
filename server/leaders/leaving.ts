import type { Tx } from '../db/open.js';
import { stoodDownLetter } from '../joining/letters.js';
import { oweLetter } from '../joining/owe.js';
import type { OweContext } from '../notices/compose.js';
import { endAsksTo } from '../proposals/asks-store.js';
import { endOffersTo } from '../together/ends.js';
import { addressee } from '../together/store.js';
import { standDown } from './store.js';

/** A leader stops, or is stood down: they may post no more, nothing is asked of them, and what others had asked of them is closed and told. Whoever is stood down by another is told, too. */
export function endLeading(tx: Tx, context: OweContext, personId: number, by: number): void {
  const stood = standDown(tx, personId, by, context.now);
  if (stood && by !== personId) tellThem(tx, context, personId, by);
  endOffersTo(tx, context, personId);
  endAsksTo(tx, personId, context.now);
}

function tellThem(tx: Tx, context: OweContext, personId: number, by: number): void {
  const to = addressee(tx, personId);
  const event = `stood-down:${personId}:${context.now}`;
  if (to) oweLetter(tx, context, { kind: 'leader-left', event, letter: stoodDownLetter(personId, by), to });
}
