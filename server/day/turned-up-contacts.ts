import { eq, inArray } from 'drizzle-orm';
import type { Contact } from '../contacts/contact.js';
import { OPENED } from '../contacts/openings.js';
import type { KeptReason } from '../contacts/reasons.js';
import { openSealed } from '../contacts/sealed.js';
import { isOpen } from '../contacts/window.js';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { turnedUpContacts } from '../db/schema/index.js';
import type { Place, Sealer } from '../db/seal.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { turnedUpBy } from './store.js';

/** Where the emergency contact of somebody who turned up is sealed. */
export function turnedUpPlace(turnedUpId: number): Place {
  return { table: 'turned_up_contacts', column: 'sealed', row: turnedUpId };
}

/** Seals the contact of somebody who turned up, in place of any there was. */
export function keepTheirContact(tx: Tx, sealer: Sealer, turnedUpId: number, contact: Contact, now: number): void {
  const sealed = sealer.seal(turnedUpPlace(turnedUpId), contact);
  tx.insert(turnedUpContacts)
    .values({ turnedUpId, sealed, createdAt: now })
    .onConflictDoUpdate({ target: turnedUpContacts.turnedUpId, set: { sealed, createdAt: now } })
    .run();
}

/** Whether one is kept. Opens nothing. */
export function hasTheirContact(q: Tx, turnedUpId: number): boolean {
  const one = q.select({ id: turnedUpContacts.turnedUpId }).from(turnedUpContacts).where(eq(turnedUpContacts.turnedUpId, turnedUpId)).get();
  return one !== undefined;
}

/** The contacts of some who turned up, sealed. */
export function sealedOfTurnedUp(q: Tx, ids: number[]): { id: number; sealed: Buffer }[] {
  return q
    .select({ id: turnedUpContacts.turnedUpId, sealed: turnedUpContacts.sealed })
    .from(turnedUpContacts)
    .where(inArray(turnedUpContacts.turnedUpId, ids))
    .all();
}

/** Who opens the contact of somebody who turned up, and why. */
export interface TheirOpening {
  key: string;
  by: number;
  as: 'leader' | 'coordinator';
  reason: KeptReason;
  why: string | null;
}

/**
 * Opens the contact of somebody who turned up and writes down who did and why, in the same transaction. Undefined where none is kept, null
 * where it does not open.
 */
export function openTheirContact(services: Services, walk: WalkRow, opening: TheirOpening): Contact | null | undefined {
  const now = services.now();
  if (opening.as === 'leader' && !isOpen(walk, services.settings(), now)) throw new Error('emergency details are closed at this time');
  return services.db.write((tx) => {
    const person = turnedUpBy(tx, walk.id, opening.key);
    const [row] = person ? sealedOfTurnedUp(tx, [person.id]) : [];
    if (!row) return undefined;
    const { by, reason, why } = opening;
    const detail = { members: [], turnedUp: [row.id], reason, ...(why !== null && { why }) };
    writeDown(tx, { at: now, personId: by, action: OPENED, subject: `walk:${walk.id}`, detail });
    return openSealed(services, turnedUpPlace(row.id), row.sealed);
  });
}
