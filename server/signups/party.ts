import { and, asc, eq, isNull, lt, ne, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { partyMembers, signUps, walks } from '../db/schema/index.js';
import type { Signing } from '../waivers/rules.js';
import { inForce, type Moment, momentOf } from '../waivers/store.js';
import { isMinorOn, type StoredMember, signingFor } from './minors.js';
import type { SignUpRow } from './store.js';

/** Someone in a party, as they stand on the day of the walk. */
export interface PartyMember extends StoredMember {
  /** Under 18 on the day of the walk. */
  isMinor: boolean;
  /** Of a minor; null where the guardian is not in the party any more. */
  guardianName: string | null;
  photos: boolean;
  /** Whose signature is needed; null for a minor without a guardian. */
  signing: Signing | null;
  /** Whether that signature is there and in force. */
  waiver: boolean;
}

const MEMBER = {
  id: partyMembers.id,
  name: partyMembers.name,
  minor: partyMembers.minor,
  adultOn: partyMembers.adultOn,
  guardianId: partyMembers.guardianId,
  email: partyMembers.email,
  photos: partyMembers.photos,
  rulesAgreedAt: partyMembers.rulesAgreedAt,
  date: walks.wallDate,
  gatherAt: walks.gatherAt,
};

type MemberRow = StoredMember & { photos: boolean; date: string; gatherAt: number };

const ofSignUp = prepared((q) =>
  q
    .select(MEMBER)
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .innerJoin(walks, eq(walks.id, signUps.walkId))
    .where(and(eq(partyMembers.signUpId, sql.placeholder('signUpId')), isNull(partyMembers.removedAt)))
    .orderBy(asc(partyMembers.id))
    .prepare(),
);

/** The people of a party who are still in it, as the table has them. */
export function membersOf(q: Tx, signUpId: number): MemberRow[] {
  return ofSignUp(q).all({ signUpId });
}

/** The people of a party who are still in it, with whether each has a waiver in force. Three queries. */
export function partyOf(q: Tx, signUp: Pick<SignUpRow, 'id' | 'email'>, moment: Moment): PartyMember[] {
  const rows = membersOf(q, signUp.id);
  return shown(rows, signUp, inForce(q, rows[0] ? momentOf(rows[0], moment) : moment, addresses(signUp, rows)));
}

/** Everyone signed up for a walk, party by party: in the order they signed up. Four queries whatever the number. */
export function partiesOf(q: Tx, walkId: number, moment: Moment): (SignUpRow & { members: PartyMember[] })[] {
  const rows = q
    .select()
    .from(signUps)
    .where(and(eq(signUps.walkId, walkId), ne(signUps.state, 'withdrawn')))
    .orderBy(asc(signUps.id))
    .all();
  const members = q
    .select({ ...MEMBER, signUpId: partyMembers.signUpId })
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .innerJoin(walks, eq(walks.id, signUps.walkId))
    .where(and(eq(signUps.walkId, walkId), ne(signUps.state, 'withdrawn'), isNull(partyMembers.removedAt)))
    .orderBy(asc(partyMembers.id))
    .all();
  const bySignUp = new Map<number, MemberRow[]>();
  for (const { signUpId, ...member } of members) bySignUp.set(signUpId, [...(bySignUp.get(signUpId) ?? []), member]);
  const signed = inForce(
    q,
    members[0] ? momentOf(members[0], moment) : moment,
    rows.flatMap((row) => addresses(row, bySignUp.get(row.id) ?? [])),
  );
  return rows.map((row) => ({ ...row, members: shown(bySignUp.get(row.id) ?? [], row, signed) }));
}

function addresses(signUp: Pick<SignUpRow, 'email'>, members: MemberRow[]): string[] {
  return [signUp.email, ...members.flatMap((member) => member.email ?? [])];
}

function shown(rows: MemberRow[], signUp: Pick<SignUpRow, 'id' | 'email'>, signed: ReturnType<typeof inForce>): PartyMember[] {
  return rows.map(({ date, gatherAt: _, ...member }) => {
    const isMinor = isMinorOn(member, date);
    const signing = signingFor(member, rows, signUp.email, date);
    return {
      ...member,
      isMinor,
      guardianName: isMinor ? (signing?.signerName ?? null) : null,
      signing,
      waiver: signing !== null && signed(signing, signUp.id),
    };
  });
}

/** How many under-18s, as of a date, are signed up for a walk, confirmed or waiting. */
export function minorsOn(q: Tx, walkId: number, date: string): number {
  const rows = q
    .select({ minor: partyMembers.minor, adultOn: partyMembers.adultOn })
    .from(signUps)
    .innerJoin(partyMembers, eq(partyMembers.signUpId, signUps.id))
    .where(and(eq(signUps.walkId, walkId), ne(signUps.state, 'withdrawn'), isNull(partyMembers.removedAt), eq(partyMembers.minor, true)))
    .all();
  return rows.filter((row) => isMinorOn(row, date)).length;
}

/** How many parties wait for a walk's places; with `signUp`, how many of them are ahead of it. */
export function partiesWaiting(q: Tx, walkId: number, signUp?: Pick<SignUpRow, 'id'>): number {
  const ahead = signUp ? lt(signUps.id, signUp.id) : undefined;
  return (
    q
      .select({ parties: sql<number>`count(*)` })
      .from(signUps)
      .where(and(eq(signUps.walkId, walkId), eq(signUps.state, 'waiting'), ahead))
      .get()?.parties ?? 0
  );
}
