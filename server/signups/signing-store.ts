import { and, eq, isNull } from 'drizzle-orm';
import { contactsKeptOn, keepContact } from '../contacts/sealed.js';
import { partyMembers, signUps, walks } from '../db/schema/index.js';
import { hashed } from '../db/seal.js';
import { oweLeft, oweWaiverCopy } from '../notices/owe-signing.js';
import type { Services } from '../services.js';
import { inForce, keepWaiver, type Trace } from '../waivers/store.js';
import { OWN_CONSENT, OWN_INTENT } from '../waivers/words.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { removeMembers } from './member-store.js';
import type { OwnSigning } from './own-signing.js';
import { type PartyMember, partyOf } from './party.js';
import { fillFreedPlaces } from './places.js';
import type { ShownTexts } from './shown-texts.js';
import { type SignUpRow, withdrawIn } from './store.js';

/** An absent adult as the link they were mailed finds them. */
export interface Absent {
  signUp: SignUpRow;
  walk: WalkRow;
  self: PartyMember & { email: string };
  /** The names of the others in the party. */
  others: string[];
  /** Minors whose guardian they are. */
  minors: PartyMember[];
  /** Whether an emergency contact is kept for them. */
  hasContact: boolean;
}

/** Who a signing link is for; undefined where it leads to nobody in a party. */
export function absentByToken(services: Services, token: string): Absent | undefined {
  const { q } = services.db;
  const found = q
    .select({ memberId: partyMembers.id, signUp: signUps, walk: walks })
    .from(partyMembers)
    .innerJoin(signUps, eq(signUps.id, partyMembers.signUpId))
    .innerJoin(walks, eq(walks.id, signUps.walkId))
    .where(and(eq(partyMembers.signTokenHash, hashed(token)), isNull(partyMembers.removedAt)))
    .get();
  if (!found) return undefined;
  const { memberId, signUp, walk } = found;
  const party = partyOf(q, signUp, oweContext(services));
  const self = party.find((member) => member.id === memberId);
  if (!self || self.email === null) return undefined;
  // On their own page they may know what they signed elsewhere this season.
  const signed = inForce(q, oweContext(services), [self.email]);
  const known = (member: PartyMember): PartyMember => ({
    ...member,
    waiver: member.signing !== null && signed({ ...member.signing, ownAddress: 'acted' }, signUp.id),
  });
  const minors = party.filter((member) => member.isMinor && member.guardianId === memberId).map(known);
  const others = party.filter((member) => member.id !== memberId).map((member) => member.name);
  return {
    signUp,
    walk,
    others,
    self: { ...known(self), email: self.email },
    minors,
    hasContact: contactsKeptOn(q, walk.id).has(memberId),
  };
}

/** Keeps what an absent adult gave: name, contact, rules agreed, and each signature, with a copy to their own address. */
export function keepOwnSigning(services: Services, absent: Absent, given: OwnSigning, signed: ShownTexts & { trace: Trace }): void {
  const now = services.now();
  const { self, signUp } = absent;
  services.db.write((tx) => {
    tx.update(partyMembers)
      .set({
        name: given.name,
        photos: given.photos,
        ...(self.rulesAgreedAt === null ? { rulesAgreedAt: now, rulesTextId: signed.rules.id } : {}),
      })
      .where(eq(partyMembers.id, self.id))
      .run();
    if (given.contact) keepContact(tx, services.sealer, self.id, given.contact, now);
    const page = { how: 'page', intent: OWN_INTENT, consent: OWN_CONSENT, proof: 'link', seenBy: '', signedAt: now } as const;
    const waiverIds = given.signatures.map(({ signing, memberId, signature }) =>
      keepWaiver(
        tx,
        services.sealer,
        { ...page, ...signing, text: signed.waiver, signUpId: signUp.id, memberId, signature },
        now,
        signed.trace,
      ),
    );
    oweWaiverCopy(tx, oweContext(services), { signUpId: signUp.id, waiverIds, to: { name: given.name, email: self.email } });
  });
  services.mailOwed();
}

/** An absent adult does not come: they leave the party, their minors with them, the booker hears of it, and their address is forgotten. */
export function leaveParty(services: Services, { signUp, self, minors }: Absent): void {
  services.db.write((tx) => {
    const gone = [self, ...minors];
    removeMembers(
      tx,
      services.now(),
      gone.map((member) => member.id),
    );

    const partySize = signUp.partySize - gone.length;
    if (partySize > 0) tx.update(signUps).set({ partySize }).where(eq(signUps.id, signUp.id)).run();
    else withdrawIn(tx, services, signUp.id);
    oweLeft(tx, oweContext(services), signUp.id, { memberId: self.id, names: gone.map((member) => member.name) });
    fillFreedPlaces(tx, oweContext(services), signUp.walkId);
  });
  services.mailOwed();
}
