import type { Contact } from '../contacts/contact.js';
import { underWords } from '../contacts/opening-model.js';
import { underGuardians } from '../signups/minors.js';
import type { PartyMember } from '../signups/party.js';

interface Party {
  state: string;
  name: string;
  phone: string;
  members: PartyMember[];
}

/** Someone who turned up without having signed up, as far as paper shows them. */
export interface Extra {
  who: string;
  name: string;
  minor: boolean;
  guardianName: string | null;
  waiver: boolean;
  phone: string;
}

/** Someone on the printed lists. */
export interface PackRow {
  /** As the roll names them: "m12". */
  who: string;
  /** The party member's number; null for who turned up. */
  memberId: number | null;
  number: number;
  name: string;
  /** "under 18, with Ana Ferreira"; null for an adult. */
  under: string | null;
  waiver: boolean;
  photos: boolean;
  phone: string;
  /** Whose phone it is where it is not their own. */
  phoneOf: string | null;
}

/** The numbered rows of a pack's lists: everyone confirmed, minors under their guardians, then who turned up. Pure. */
export function packRows(parties: Party[], extra: Extra[]): PackRow[] {
  const booked = parties
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) => underGuardians(party.members).map((member) => bookedRow(member, party)));
  return [...booked, ...extra.map(extraRow)].map((row, index) => ({ ...row, number: index + 1 }));
}

type Unnumbered = Omit<PackRow, 'number'>;

function bookedRow(member: PartyMember, { name, phone }: Party): Unnumbered {
  return {
    who: `m${member.id}`,
    memberId: member.id,
    name: member.name,
    under: underWords(member),
    waiver: member.waiver,
    photos: member.photos,
    phone,
    phoneOf: name === member.name ? null : name,
  };
}

function extraRow({ who, name, minor, guardianName, waiver, phone }: Extra): Unnumbered {
  const under = underWords({ isMinor: minor, guardianName });
  return { who, memberId: null, name, under, waiver, photos: false, phone, phoneOf: null };
}

/** The rows as the leader's list shows them. Pure. @param contacts as opened, by member; null where the list is without them */
export function leaderRows(rows: PackRow[], contacts: ReadonlyMap<number, Contact | null> | null) {
  return rows.map((row) => ({
    ...row,
    marked: row.under !== null || row.photos || row.phoneOf !== null,
    contact: row.memberId === null ? null : (contacts?.get(row.memberId) ?? null),
    missing: contacts === null ? null : missingWords(row.memberId, contacts),
  }));
}

function missingWords(id: number | null, contacts: ReadonlyMap<number, Contact | null>): string | null {
  if (id === null || !contacts.has(id)) return 'None yet: ask on the day';
  return contacts.get(id) === null ? 'Cannot be opened: ask on the day' : null;
}
