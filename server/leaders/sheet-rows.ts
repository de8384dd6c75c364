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

/** The numbered rows of the sign-in sheet: everyone confirmed, minors under their guardians. Pure. @param contacts as opened; null where the sheet is without them */
export function sheetRows(parties: Party[], contacts: ReadonlyMap<number, Contact | null> | null) {
  return parties
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) => underGuardians(party.members).map((member) => ({ member, booker: party })))
    .map(({ member, booker }, index) => ({
      number: index + 1,
      name: member.name,
      under: underWords(member),
      waiver: member.waiver,
      photos: member.photos,
      marked: member.isMinor || member.photos || booker.name !== member.name,
      phone: booker.phone,
      /** Whose phone it is where it is not their own. */
      phoneOf: booker.name === member.name ? null : booker.name,
      contact: contacts?.get(member.id) ?? null,
      missing: contacts === null ? null : missingWords(member.id, contacts),
    }));
}

function missingWords(id: number, contacts: ReadonlyMap<number, Contact | null>): string | null {
  if (!contacts.has(id)) return 'None yet: ask on the day';
  return contacts.get(id) === null ? 'Cannot be opened: ask on the day' : null;
}
