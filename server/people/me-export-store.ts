import { inArray } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { emergencyContacts, keptContacts } from '../db/schema/index.js';

/** Writes down that a person saved all that is held about them. */
export function noteExport(tx: Tx, personId: number, at: number): void {
  writeDown(tx, { at, personId, action: 'exported own details', subject: `person:${personId}` });
}

/** The emergency contacts of some party members, sealed. */
export function sealedContacts(q: Tx, memberIds: number[]): { id: number; sealed: Buffer }[] {
  return q
    .select({ id: emergencyContacts.memberId, sealed: emergencyContacts.sealed })
    .from(emergencyContacts)
    .where(inArray(emergencyContacts.memberId, memberIds))
    .all();
}

/** Some of those kept for the next sign-up, sealed. */
export function sealedKept(q: Tx, ids: number[]): { id: number; sealed: Buffer }[] {
  return q.select({ id: keptContacts.id, sealed: keptContacts.sealed }).from(keptContacts).where(inArray(keptContacts.id, ids)).all();
}
