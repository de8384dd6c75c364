import { underWords } from '../contacts/opening-model.js';
import { underGuardians } from '../signups/minors.js';
import type { PartyMember } from '../signups/party.js';

/** One person in the leader's list, with what is still to do. */
export interface MemberRow {
  name: string;
  /** "under 18, with Ana Ferreira"; null for an adult. */
  under: string | null;
  /** "waiver to sign", who is asked for it, or that they have come of age by then; null where it is signed. */
  unsigned: string | null;
  /** No emergency contact is kept, and one should be. */
  noContact: boolean;
  /** Pictures that show them may be used. */
  photos: boolean;
}

/** How someone's missing signature is said. Whoever signs by a link of their own is asked by mail. Pure. @param booker the address the party was booked with */
function unsignedWords(member: PartyMember, booker: string): string | null {
  if (member.waiver) return null;
  if (member.minor && !member.isMinor) return '18 by then: signs for themself';
  if (member.signing === null) return 'no guardian in the party';
  return member.email !== null || member.signing.email !== booker ? 'asked by mail to sign' : 'waiver to sign';
}

interface Party {
  name: string;
  email: string;
  members: PartyMember[];
}

/** A party as its walk's leader reads it: minors under their guardians. Pure. @param kept the members with an emergency contact; null where none is looked for any more */
export function partyRow<P extends Party>(party: P, kept: ReadonlySet<number> | null) {
  const members: MemberRow[] = underGuardians(party.members).map((member) => ({
    name: member.name,
    under: underWords(member),
    unsigned: unsignedWords(member, party.email),
    noContact: kept !== null && !kept.has(member.id),
    photos: member.photos,
  }));
  // The one who booked is the one who walks: their name need not stand twice.
  const isSolo = members.length === 1 && members[0]?.name === party.name;
  return { ...party, members, isSolo };
}

/** "1 waiver to sign", "3 waivers to sign", "Every waiver is signed". Pure. */
export function waiverCount(parties: { members: { unsigned: string | null }[] }[]): { unsigned: number; words: string } {
  const unsigned = parties.flatMap((party) => party.members).filter((member) => member.unsigned !== null).length;
  if (unsigned === 0) return { unsigned, words: 'Every waiver is signed' };
  return { unsigned, words: unsigned === 1 ? '1 waiver to sign' : `${unsigned} waivers to sign` };
}
