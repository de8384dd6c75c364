import { inArray, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { turnedUp, turnedUpContacts } from '../db/schema/index.js';
import { HELD_TURNED_UP } from '../incidents/holds.js';
import { ERASED } from './erased.js';

/** Who turned up and left an address, with the minors whose guardian they are: by the address itself, or by that of the sign-up their guardian is in. */
export function turnedUpOf(q: Tx, email: string): { id: number; walkId: number; name: string }[] {
  return q.all(sql`
    SELECT t.id, t.walk_id AS walkId, t.name FROM turned_up t WHERE t.email = ${email} AND t.email <> ''
    UNION
    SELECT c.id, c.walk_id, c.name FROM turned_up t JOIN turned_up c ON c.walk_id = t.walk_id AND c.guardian = 't' || t.key WHERE t.email = ${email} AND t.email <> ''
    UNION
    SELECT c.id, c.walk_id, c.name FROM sign_ups s JOIN party_members m ON m.sign_up_id = s.id
      JOIN turned_up c ON c.walk_id = s.walk_id AND c.guardian = 'm' || m.id
    WHERE coalesce(m.email, s.email) = ${email}`);
}

/** Empties who turned up: who they were, how to reach them, their emergency contact unless an open incident holds it. That somebody walked stays. */
export function emptyTurnedUp(tx: Tx, ids: number[]): void {
  if (ids.length === 0) return;
  tx.delete(turnedUpContacts)
    .where(sql`${inArray(turnedUpContacts.turnedUpId, ids)} AND ${turnedUpContacts.turnedUpId} NOT IN ${HELD_TURNED_UP}`)
    .run();
  tx.update(turnedUp).set({ name: ERASED, phone: '', email: '' }).where(inArray(turnedUp.id, ids)).run();
}
