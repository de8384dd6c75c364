import { and, eq, inArray, ne, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { emergencyContacts, partyMembers, signUps } from '../db/schema/index.js';
import { type Place, SealBroken, type Sealer } from '../db/seal.js';
import type { Services } from '../services.js';
import type { Contact } from './contact.js';

/** Where a member's emergency contact is sealed. */
export function contactPlace(memberId: number): Place {
  return { table: 'emergency_contacts', column: 'sealed', row: memberId };
}

/** Seals a member's emergency contact, in place of any there was. */
export function keepContact(tx: Tx, sealer: Sealer, memberId: number, contact: Contact, now: number): void {
  const sealed = sealer.seal(contactPlace(memberId), contact);
  contactKept(tx).run({ memberId, sealed, now });
}

const contactKept = prepared((q) =>
  q
    .insert(emergencyContacts)
    .values({ memberId: sql.placeholder('memberId'), sealed: sql.placeholder('sealed'), createdAt: sql.placeholder('now') })
    .onConflictDoUpdate({
      target: emergencyContacts.memberId,
      set: { sealed: sql`excluded.sealed`, createdAt: sql`excluded.created_at` },
    })
    .prepare(),
);

/** Opens a contact that is sealed at a place; null, and logged, where it does not open. Whoever opens another's writes that down. */
export function openSealed({ sealer, log }: Pick<Services, 'sealer' | 'log'>, place: Place, sealed: Buffer): Contact | null {
  try {
    return sealer.open(place, sealed) as Contact;
  } catch (error) {
    if (!(error instanceof SealBroken)) throw error;
    log.error(place, error.message);
    return null;
  }
}

/** Forgets the contacts of members who are not coming any more: nobody may need them. */
export function forgetContacts(tx: Tx, memberIds: number[]): void {
  if (memberIds.length > 0) tx.delete(emergencyContacts).where(inArray(emergencyContacts.memberId, memberIds)).run();
}

/** Which of a walk's party members have an emergency contact kept, by number. Opens none. One query. */
export function contactsKeptOn(q: Tx, walkId: number): Set<number> {
  const rows = q
    .select({ memberId: emergencyContacts.memberId })
    .from(signUps)
    .innerJoin(partyMembers, eq(partyMembers.signUpId, signUps.id))
    .innerJoin(emergencyContacts, eq(emergencyContacts.memberId, partyMembers.id))
    .where(and(eq(signUps.walkId, walkId), ne(signUps.state, 'withdrawn')))
    .all();
  return new Set(rows.map((row) => row.memberId));
}
