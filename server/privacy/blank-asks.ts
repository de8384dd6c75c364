import { eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { askLetters, notices } from '../db/schema/index.js';
import { NAME_ERASED } from './erased.js';

/** Forgets what somebody who is erased was asked; what they asked of others stays, without their words and their name. */
export function blankAsks(tx: Tx, personId: number): void {
  tx.delete(askLetters).where(eq(askLetters.toPersonId, personId)).run();
  tx.update(askLetters).set({ note: '' }).where(eq(askLetters.byPersonId, personId)).run();
  const rows = tx.select({ id: notices.id, content: notices.content }).from(notices).where(eq(notices.kind, 'ask')).all();
  for (const { id, content } of rows) {
    if (!('ask' in content) || content.ask.by.personId !== personId) continue;
    const ask = { ...content.ask, by: { personId, name: NAME_ERASED }, note: '' };
    tx.update(notices).set({ content: { ask } }).where(eq(notices.id, id)).run();
  }
}
