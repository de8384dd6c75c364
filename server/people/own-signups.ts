import { desc, eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { signUps, texts, walks } from '../db/schema/index.js';
import { NAMED_WALK } from '../walks/named.js';

/** Someone in a party, as the person is shown them who booked it, or who is in it. */
export interface OwnMember {
  id: number;
  signUpId: number;
  name: string;
  minor: boolean;
  /** The date a minor turns 18, or empty. */
  adultOn: string;
  /** Their own address, where they sign by a link of their own; for a minor, their guardian's. */
  ownAddress: string | null;
  photos: boolean;
  removedAt: number | null;
  /** When an absent adult agreed to the rules themself, ms, and to which version. */
  rulesAgreedAt: number | null;
  rulesVersion: number | null;
  /** Whether an emergency contact is sealed for them. */
  hasContact: boolean;
}

const WALK = {
  ...NAMED_WALK,
  walkState: walks.state,
  closedAt: walks.closedAt,
  cancelledAt: walks.cancelledAt,
};

export type OwnSignUp = ReturnType<typeof ownSignUps>[number];

/** Sign-ups made with an address, the latest walk first. */
export function ownSignUps(q: Tx, email: string) {
  return q
    .select({
      ...WALK,
      id: signUps.id,
      state: signUps.state,
      name: signUps.name,
      phone: signUps.phone,
      phoneTyped: signUps.phoneTyped,
      partySize: signUps.partySize,
      rulesVersion: texts.version,
      rulesAgreedAt: signUps.rulesAgreedAt,
      toldVersion: signUps.toldVersion,
      createdAt: signUps.createdAt,
      withdrawnAt: signUps.withdrawnAt,
      provedAt: signUps.provedAt,
    })
    .from(signUps)
    .innerJoin(walks, eq(walks.id, signUps.walkId))
    .innerJoin(texts, eq(texts.id, signUps.rulesTextId))
    .where(eq(signUps.email, email))
    .orderBy(desc(walks.gatherAt))
    .all();
}

const MEMBER = sql`m.id, m.sign_up_id AS signUpId, m.name, m.minor, m.adult_on AS adultOn, coalesce(m.email, g.email) AS ownAddress, m.photos,
  m.removed_at AS removedAt, m.rules_agreed_at AS rulesAgreedAt, r.version AS rulesVersion, c.member_id IS NOT NULL AS hasContact`;
const MEMBER_TABLES = sql`party_members m LEFT JOIN party_members g ON g.id = m.guardian_id LEFT JOIN emergency_contacts c ON c.member_id = m.id
  LEFT JOIN texts r ON r.id = m.rules_text_id`;

type Stored<T extends OwnMember> = Omit<T, 'minor' | 'photos' | 'hasContact'> & { minor: number; photos: number; hasContact: number };

function asRead<T extends OwnMember>(row: Stored<T>): T {
  return { ...row, minor: row.minor === 1, photos: row.photos === 1, hasContact: row.hasContact === 1 } as T;
}

/** Everyone who is or was in some parties, by sign-up. One statement. */
export function partiesByNumber(q: Tx, signUpIds: number[]): Map<number, OwnMember[]> {
  const rows = q.all<Stored<OwnMember>>(sql`
    SELECT ${MEMBER} FROM ${MEMBER_TABLES}
    WHERE m.sign_up_id IN (SELECT value FROM json_each(${JSON.stringify(signUpIds)})) ORDER BY m.id`);
  const parties = new Map<number, OwnMember[]>();
  for (const row of rows) parties.set(row.signUpId, [...(parties.get(row.signUpId) ?? []), asRead(row)]);
  return parties;
}

/** Someone's place in a party that somebody else booked. */
export interface Membership extends OwnMember {
  bookedBy: string;
  state: OwnSignUp['state'];
  walkId: number;
  walkState: OwnSignUp['walkState'];
  gatherAt: number;
  closedAt: number | null;
  cancelledAt: number | null;
  zone: string;
  distanceMetres: number;
  routeName: string;
  locality: string;
}

/** Where an address is in a party that somebody else booked, and the minors whose guardian its holder is there; the latest walk first. */
export function memberships(q: Tx, email: string): Membership[] {
  return q
    .all<Stored<Membership>>(sql`
      SELECT ${MEMBER}, s.name AS bookedBy, s.state, w.id AS walkId, w.state AS walkState, w.gather_at AS gatherAt, w.closed_at AS closedAt,
        w.cancelled_at AS cancelledAt, w.zone, w.distance_metres AS distanceMetres, w.route_name AS routeName, w.locality
      FROM ${MEMBER_TABLES} JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id
      WHERE (m.email = ${email} OR m.guardian_id IN (SELECT id FROM party_members WHERE email = ${email})) AND s.email <> ${email}
      ORDER BY w.gather_at DESC, m.id`)
    .map(asRead);
}
