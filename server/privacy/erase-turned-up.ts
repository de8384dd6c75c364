import { inArray, sql } from 'drizzle-orm';
import { turnedUpKnownBy } from '../day/in-their-care.js';
import type { Tx } from '../db/open.js';
import { turnedUp, turnedUpContacts } from '../db/schema/index.js';
import { HELD_TURNED_UP } from '../incidents/holds.js';
import { ERASED } from './erased.js';

/** Who turned up and is known by an address, with the minors in their care. */
export function turnedUpOf(q: Tx, email: string): { id: number; walkId: number; name: string }[] {
  return q.all(sql`SELECT t.id, t.walk_id AS walkId, t.name FROM turned_up t WHERE t.id IN ${turnedUpKnownBy(email)}`);
}

/** Empties who turned up: who they were, how to reach them, their emergency contact unless an open incident holds it. That somebody walked stays. */
export function emptyTurnedUp(tx: Tx, ids: number[]): void {
  if (ids.length === 0) return;
  tx.delete(turnedUpContacts)
    .where(sql`${inArray(turnedUpContacts.turnedUpId, ids)} AND ${turnedUpContacts.turnedUpId} NOT IN ${HELD_TURNED_UP}`)
    .run();
  tx.update(turnedUp).set({ name: ERASED, phone: '', email: '' }).where(inArray(turnedUp.id, ids)).run();
}
