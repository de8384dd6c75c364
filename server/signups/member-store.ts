import { and, eq, inArray, isNotNull, sql } from 'drizzle-orm';
import { keepForNext } from '../contacts/kept.js';
import { forgetContacts, keepContact } from '../contacts/sealed.js';
import { prepared, type Tx } from '../db/open.js';
import { partyMembers } from '../db/schema/index.js';
import { forgetMemberMail, oweMemberGone } from '../notices/owe-members.js';
import { oweToSign } from '../notices/owe-signing.js';
import { ERASED } from '../privacy/erased.js';
import type { Services } from '../services.js';
import { textInForce } from '../texts/store.js';
import { inForce, keepWaiver } from '../waivers/store.js';
import { CONSENT, INTENT } from '../waivers/words.js';
import { oweContext } from '../walks/save.js';
import type { Member } from './form.js';
import type { Given } from './given.js';
import { signingTokenHash } from './link.js';
import { membersOf, partyOf } from './party.js';
import { signingOf, signsElsewhere } from './signing.js';

/** The sign-up whose party it is. */
interface Booking {
  id: number;
  /** The booker's. */
  email: string;
  name: string;
}

/** Adds a party's members: guardians, sealed contacts, waivers where none is in force, and the mail to those who sign elsewhere. Gives who has yet to sign. */
export function addMembers(tx: Tx, services: Services, booking: Booking, members: Member[], given: Given): string[] {
  const ids = members.map((member) => insertMember(tx, booking.id, member));
  settleMembers(tx, services, { booking, members, ids, asked: new Set() }, given);
  const elsewhere = members.filter((member) => signsElsewhere(member, members));
  if (elsewhere.length === 0) return [];
  return partyOf(tx, booking, oweContext(services)).flatMap((member) => (member.waiver ? [] : [member.name]));
}

/** Brings a party in line with a form: people added, changed, and removed, who leave no contact behind. Gives the numbers of the waivers signed. */
export function changeMembers(tx: Tx, services: Services, booking: Booking, members: Member[], given: Given): number[] {
  const standing = membersOf(tx, booking.id);
  const kept = new Set(members.map((member) => member.id));
  const gone = standing.filter((member) => !kept.has(member.id));
  for (const member of gone) oweMemberGone(tx, oweContext(services), booking.id, member);
  removeMembers(
    tx,
    services.now(),
    gone.map((member) => member.id),
  );
  const before = new Map(standing.map((member) => [member.id, member.email ?? '']));
  for (const { id, email } of members) if (id !== null && before.get(id) !== email) forgetAbsent(tx, id);
  const ids = members.map((member) => (member.id === null ? insertMember(tx, booking.id, member) : updateMember(tx, booking.id, member)));
  const asked = new Set(standing.flatMap((member) => (member.email === null ? [] : [`${member.id}:${member.email}`])));
  return settleMembers(tx, services, { booking, members, ids, asked }, given);
}

/** Another address, or none: what was sealed by way of the old one goes, and the mail that went there. */
function forgetAbsent(tx: Tx, id: number): void {
  forgetContacts(tx, [id]);
  forgetMemberMail(tx, id);
}

/** Takes people out of their party; what was sealed for them goes at once, and their address, with the mail that asked them to sign. */
export function removeMembers(tx: Tx, now: number, ids: number[]): void {
  if (ids.length === 0) return;
  // Nobody could find an absent adult's name again to erase it, unless they signed.
  const unsigned = sql`NOT EXISTS (SELECT 1 FROM waivers v WHERE v.member_id = ${partyMembers.id})`;
  tx.update(partyMembers)
    .set({ name: ERASED })
    .where(and(inArray(partyMembers.id, ids), isNotNull(partyMembers.email), unsigned))
    .run();
  tx.update(partyMembers).set({ removedAt: now, email: null, signTokenHash: null }).where(inArray(partyMembers.id, ids)).run();
  forgetContacts(tx, ids);
  for (const id of ids) forgetMemberMail(tx, id);
}

const memberAdded = prepared((q) =>
  q
    .insert(partyMembers)
    .values({
      signUpId: sql.placeholder('signUpId'),
      name: sql.placeholder('name'),
      minor: sql.placeholder('minor'),
      adultOn: sql.placeholder('adultOn'),
      email: sql.placeholder('email'),
      photos: sql.placeholder('photos'),
    })
    .returning({ id: partyMembers.id })
    .prepare(),
);

function insertMember(tx: Tx, signUpId: number, member: Member): number {
  const row = memberAdded(tx).get({ signUpId, ...columns(member) });
  if (!row) throw new Error('a party member was not added');
  return row.id;
}

function updateMember(tx: Tx, signUpId: number, member: Member): number {
  const id = member.id ?? 0;
  tx.update(partyMembers)
    .set({ ...columns(member), guardianId: null, ...(member.email === '' ? { signTokenHash: null } : {}) })
    .where(and(eq(partyMembers.id, id), eq(partyMembers.signUpId, signUpId)))
    .run();
  return id;
}

function columns({ name, minor, adultOn, email, photos }: Member) {
  return { name, minor, adultOn, email: email === '' ? null : email, photos };
}

interface Party {
  booking: Booking;
  members: Member[];
  /** Each member's number, in the form's order. */
  ids: number[];
  /** Absent adults who were asked to sign before, as number:address. */
  asked: ReadonlySet<string>;
}

function settleMembers(tx: Tx, services: Services, party: Party, given: Given): number[] {
  const { booking, members, ids, asked } = party;
  const now = services.now();
  const isSigned = inForce(tx, oweContext(services), [booking.email, ...members.map((member) => member.email)]);
  return members.flatMap((member, index) => {
    const id = ids[index] ?? 0;
    if (member.minor) setGuardian(tx, id, ids[member.guardian ?? -1]);
    if (member.contact) {
      keepContact(tx, services.sealer, id, member.contact, now);
      if (given.keepFor !== undefined)
        keepForNext(tx, services.sealer, { personId: given.keepFor, forName: member.name, contact: member.contact, now });
    }
    const { email } = member;
    if (email !== '' && !asked.has(`${id}:${email}`)) askToSign(tx, services, booking.id, { id, email });
    const signing = signingOf(member, members, booking.email);
    if (member.signature === '' || !signing || signsElsewhere(member, members) || isSigned(signing, booking.id)) return [];
    return [signFor(tx, services, { signing, signUpId: booking.id, memberId: id, signature: member.signature }, given)];
  });
}

function setGuardian(tx: Tx, id: number, guardianId: number | undefined): void {
  if (guardianId === undefined) throw new Error('a minor without a guardian');
  tx.update(partyMembers).set({ guardianId }).where(eq(partyMembers.id, id)).run();
}

/** Gives an absent adult the address where they sign, and owes them the mail with it. */
function askToSign(tx: Tx, services: Services, signUpId: number, member: { id: number; email: string }): void {
  tx.update(partyMembers)
    .set({ signTokenHash: signingTokenHash(services.sealer, member.id, member.email), rulesAgreedAt: null, rulesTextId: null })
    .where(eq(partyMembers.id, member.id))
    .run();
  oweToSign(tx, oweContext(services), { signUpId, memberId: member.id });
}

interface OwnSignature {
  signing: NonNullable<ReturnType<typeof signingOf>>;
  signUpId: number;
  memberId: number;
  signature: string;
}

function signFor(tx: Tx, services: Services, { signing, ...signed }: OwnSignature, { proof, trace, texts }: Given): number {
  const now = services.now();
  const page = { how: 'page', intent: INTENT, consent: CONSENT, seenBy: '' } as const;
  const evidence = { ...page, ...signing, ...signed, text: texts?.waiver ?? textInForce(tx, 'waiver'), proof, signedAt: now };
  return keepWaiver(tx, services.sealer, evidence, now, trace);
}
