import { and, eq, inArray, isNull, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { auditLog, emergencyContacts, partyMembers, signUps } from '../db/schema/index.js';
import { SealBroken, type Sealer } from '../db/seal.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import type { Contact } from './form.js';

const HOUR_MS = 60 * 60 * 1000;
/** Emergency details open this long before gathering, and stay open this long after the walk is closed. */
const OPEN_BEFORE_MS = 24 * HOUR_MS;
const OPEN_AFTER_MS = 24 * HOUR_MS;
/** A walk nobody closed counts as closed this long after gathering. */
const CLOSED_AT_LATEST_MS = 48 * HOUR_MS;

function place(memberId: number) {
  return { table: 'emergency_contacts', column: 'sealed', row: memberId };
}

/** Seals a member's emergency contact, in place of any there was. */
export function keepContact(tx: Tx, sealer: Sealer, memberId: number, contact: Contact, now: number): void {
  const sealed = sealer.seal(place(memberId), contact);
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

/** Forgets the contacts of members who are not coming any more: nobody may need them. */
export function forgetContacts(tx: Tx, memberIds: number[]): void {
  if (memberIds.length > 0) tx.delete(emergencyContacts).where(inArray(emergencyContacts.memberId, memberIds)).run();
}

/** When a walk's leaders may open its emergency details: both ends are instants, the first inclusive, the last exclusive. Pure. */
export function openWindow(walk: Pick<WalkRow, 'gatherAt' | 'closedAt'>): { from: number; until: number } {
  return { from: walk.gatherAt - OPEN_BEFORE_MS, until: (walk.closedAt ?? walk.gatherAt + CLOSED_AT_LATEST_MS) + OPEN_AFTER_MS };
}

/** Whether they may be opened now; never for a walk that was cancelled, since nobody is out on it. */
export function isOpen(walk: Pick<WalkRow, 'gatherAt' | 'closedAt' | 'state'>, now: number): boolean {
  if (walk.state !== 'posted' && walk.state !== 'closed') return false;
  const { from, until } = openWindow(walk);
  return now >= from && now < until;
}

/**
 * Opens the emergency details of everyone confirmed on a walk, for one of its leaders, and writes who opened them in the same
 * transaction: if that can't be written, nothing is shown. A value that does not open is null, and logged.
 */
export function openContacts(services: Services, walk: WalkRow, personId: number, why: string): Map<number, Contact | null> {
  if (!isOpen(walk, services.now())) throw new Error('emergency details are closed at this time');
  return services.db.write((tx) => {
    const rows = tx
      .select({ memberId: emergencyContacts.memberId, sealed: emergencyContacts.sealed })
      .from(emergencyContacts)
      .innerJoin(partyMembers, eq(partyMembers.id, emergencyContacts.memberId))
      .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
      .where(and(eq(signUps.walkId, walk.id), eq(signUps.state, 'confirmed'), isNull(partyMembers.removedAt)))
      .all();
    const detail = { members: rows.map((row) => row.memberId), why };
    tx.insert(auditLog)
      .values({ at: services.now(), personId, action: 'opened emergency details', subject: `walk:${walk.id}`, detail })
      .run();
    return new Map(rows.map((row) => [row.memberId, openOne(services, row.memberId, row.sealed)]));
  });
}

function openOne(services: Services, memberId: number, sealed: Buffer): Contact | null {
  try {
    return services.sealer.open(place(memberId), sealed) as Contact;
  } catch (error) {
    if (!(error instanceof SealBroken)) throw error;
    services.log.error({ memberId }, error.message);
    return null;
  }
}
