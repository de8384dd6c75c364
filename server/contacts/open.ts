import { and, eq, isNull, or, sql } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { emergencyContacts, partyMembers, signUps } from '../db/schema/index.js';
import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import type { Contact } from './contact.js';
import { OPENED } from './openings.js';
import type { Why } from './reasons.js';
import { contactPlace, openSealed } from './sealed.js';
import { isOpen } from './window.js';

/** Who opens emergency details, whose, and why. A leader's `member` is null for everyone; a coordinator's, for an incident, is one person. */
export type Opening = Why & { by: number } & ({ as: 'leader'; member: number | null } | { as: 'coordinator'; member: number });

/**
 * Opens emergency details of people confirmed on a walk, or of one who stands in its roll, and writes who opened whose, and why, in the same transaction: if that can't be
 * written, nothing is shown. By member's number; a value that does not open is null, and logged; who has none kept is not there.
 */
export function openContacts(services: Services, walk: WalkRow, opening: Opening): Map<number, Contact | null> {
  const now = services.now();
  if (opening.as === 'leader' && !isOpen(walk, services.settings(), now)) throw new Error('emergency details are closed at this time');
  return services.db.write((tx) => {
    const rows = sealedOn(tx, walk.id, opening.member);
    if (rows.length === 0) return new Map();
    const detail = detailOf(
      opening,
      rows.map((row) => row.memberId),
    );
    writeDown(tx, { at: now, personId: opening.by, action: OPENED, subject: `walk:${walk.id}`, detail });
    return new Map(rows.map((row) => [row.memberId, openSealed(services, contactPlace(row.memberId), row.sealed)]));
  });
}

/** What the log keeps of an opening. The words that were typed stay apart from the listed reason: they may have to go, and be shown to fewer. */
function detailOf({ reason, why, member }: Opening, members: number[]): Record<string, unknown> {
  return { members, ...(member === null && { everyone: true }), reason, ...(why !== null && { why }) };
}

const isConfirmed = eq(signUps.state, 'confirmed');

/** Whoever waits for a place and came along is as much in need of somebody to phone as who has one. */
function isOnRoll(walkId: number) {
  return sql`EXISTS (SELECT 1 FROM roll_entries said WHERE said.walk_id = ${walkId} AND said.who = 'm' || ${partyMembers.id})`;
}

function sealedOn(tx: Tx, walkId: number, member: number | null) {
  return tx
    .select({ memberId: emergencyContacts.memberId, sealed: emergencyContacts.sealed })
    .from(emergencyContacts)
    .innerJoin(partyMembers, eq(partyMembers.id, emergencyContacts.memberId))
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .where(
      and(
        eq(signUps.walkId, walkId),
        isNull(partyMembers.removedAt),
        member === null ? isConfirmed : and(eq(partyMembers.id, member), or(isConfirmed, isOnRoll(walkId))),
      ),
    )
    .all();
}
