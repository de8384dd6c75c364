import type { Signing } from '../waivers/rules.js';

/** What is kept of who someone in a party is. */
export interface StoredMember {
  id: number;
  name: string;
  /** Under 18 when the party was booked. */
  minor: boolean;
  /** The date they turn 18, YYYY-MM-DD; empty where it was not said. */
  adultOn: string;
  guardianId: number | null;
  /** An adult who was not there at the booking: they sign by a link mailed here. */
  email: string | null;
  /** When they acted on that link and agreed to the rules, ms. */
  rulesAgreedAt: number | null;
}

/** Whether someone is under 18 on the day of a walk (YYYY-MM-DD). On the day they turn 18 they are not. Pure. */
export function isMinorOn({ minor, adultOn }: Pick<StoredMember, 'minor' | 'adultOn'>, date: string): boolean {
  return minor && (adultOn === '' || date < adultOn);
}

/**
 * Whose signature a member needs on the day of a walk: their own, or their guardian's, each by the address of whoever signs. Null for
 * a minor whose guardian is not in the party. Pure.
 * @param booker the address that the party was booked with
 */
export function signingFor(member: StoredMember, party: StoredMember[], booker: string, date: string): Signing | null {
  if (!isMinorOn(member, date)) return { ...signer(member, booker), forName: member.name, signedAs: 'self' };
  const guardian = party.find((one) => one.id === member.guardianId);
  if (!guardian || isMinorOn(guardian, date)) return null;
  return { ...signer(guardian, booker), forName: member.name, signedAs: 'guardian' };
}

function signer({ name, email, rulesAgreedAt }: StoredMember, booker: string): Pick<Signing, 'email' | 'signerName' | 'ownAddress'> {
  return email === null
    ? { email: booker, signerName: name }
    : { email, signerName: name, ownAddress: rulesAgreedAt === null ? 'asked' : 'acted' };
}

/** A party in the order in which people look for each other: each adult, then the minors they are the guardian of. Pure. */
export function underGuardians<T extends { id: number; isMinor: boolean; guardianId: number | null }>(party: T[]): T[] {
  const minors = party.filter((member) => member.isMinor);
  const adults = party.filter((member) => !member.isMinor);
  const ordered = adults.flatMap((adult) => [adult, ...minors.filter((minor) => minor.guardianId === adult.id)]);
  return [...ordered, ...minors.filter((minor) => !ordered.includes(minor))];
}
