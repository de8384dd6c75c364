import { and, asc, eq, gt, inArray } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { keptContacts as table } from '../db/schema/index.js';
import type { Place, Sealer } from '../db/seal.js';
import type { Services } from '../services.js';
import { nameKey } from '../waivers/rules.js';
import type { Contact } from './contact.js';
import { openSealed } from './sealed.js';

/** A contact kept for next time is forgotten this long after it was last agreed to or used (common practice: a year). */
export const KEPT_FOR_MS = 365 * 24 * 60 * 60 * 1000;

type Opener = Pick<Services, 'sealer' | 'now' | 'log'>;

/** What a person is shown of a contact kept for their next sign-up. */
export interface KeptContact {
  id: number;
  forName: string;
  /** "sister, number ending 88" */
  hint: string;
  /** ms */
  expiresAt: number;
}

function placeOf(id: number): Place {
  return { table: 'kept_contacts', column: 'sealed', row: id };
}

/** Keeps the emergency contact of someone in a party for the next sign-up of the person who is signed in, in place of any there was. */
export function keepForNext(
  tx: Tx,
  sealer: Sealer,
  { personId, forName, contact, now }: { personId: number; forName: string; contact: Contact; now: number },
): void {
  const expiresAt = now + KEPT_FOR_MS;
  // The seal is bound to the row's number, which is known only once there is a row.
  const { id } = tx
    .insert(table)
    .values({ personId, forName, forKey: nameKey(forName), sealed: Buffer.alloc(0), keptAt: now, expiresAt })
    .onConflictDoUpdate({ target: [table.personId, table.forKey], set: { forName, keptAt: now, expiresAt } })
    .returning({ id: table.id })
    .get();
  tx.update(table)
    .set({ sealed: sealer.seal(placeOf(id), contact) })
    .where(eq(table.id, id))
    .run();
}

/** What is kept for a person's next sign-up, by name; opened for the person themself, and shown to nobody else. */
export function keptContacts(services: Opener & Pick<Services, 'db'>, personId: number): KeptContact[] {
  return services.db.q
    .select()
    .from(table)
    .where(and(eq(table.personId, personId), gt(table.expiresAt, services.now())))
    .orderBy(asc(table.forKey))
    .all()
    .map((row) => ({ id: row.id, forName: row.forName, hint: hintOf(openKept(services, row)), expiresAt: row.expiresAt }));
}

/** Opens what is kept for one name, for copying into a sign-up; null where there is none. */
export function keptFor(q: Tx, services: Opener, personId: number, forName: string): Contact | null {
  const row = q
    .select()
    .from(table)
    .where(and(eq(table.personId, personId), eq(table.forKey, nameKey(forName)), gt(table.expiresAt, services.now())))
    .get();
  return row ? openKept(services, row) : null;
}

/** Keeps what was of use for another year. */
export function usedKept(tx: Tx, personId: number, names: string[], now: number): void {
  tx.update(table)
    .set({ expiresAt: now + KEPT_FOR_MS })
    .where(and(eq(table.personId, personId), inArray(table.forKey, names.map(nameKey)), gt(table.expiresAt, now)))
    .run();
}

/** Forgets one; another person's stays. */
export function forgetKept(tx: Tx, personId: number, id: number): void {
  tx.delete(table)
    .where(and(eq(table.id, id), eq(table.personId, personId)))
    .run();
}

/** Opens one for the person whose it is; null, and logged, where it does not open. */
export function openKept(services: Pick<Services, 'sealer' | 'log'>, { id, sealed }: { id: number; sealed: Buffer }): Contact | null {
  return openSealed(services, placeOf(id), sealed);
}

function hintOf(contact: Contact | null): string {
  return contact ? `${contact.relation}, number ending ${contact.phone.slice(-2)}` : 'cannot be opened';
}
