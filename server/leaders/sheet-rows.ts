import type { Contact } from '../contacts/contact.js';
import { underWords } from '../contacts/opening-model.js';
import { underGuardians } from '../signups/minors.js';
import type { PartyMember } from '../signups/party.js';

/** The numbered rows of the sign-in sheet: everyone confirmed, minors under their guardians. Pure. @param contacts as opened; null where the sheet is without them */
export function sheetRows(parties: { state: string; members: PartyMember[] }[], contacts: ReadonlyMap<number, Contact | null> | null) {
  return parties
    .filter((party) => party.state === 'confirmed')
    .flatMap((party) => underGuardians(party.members))
    .map((member, index) => ({
      number: index + 1,
      name: member.name,
      under: underWords(member),
      waiver: member.waiver,
      photos: member.photos,
      contact: contacts?.get(member.id) ?? null,
      missing: contacts === null ? null : missingWords(member.id, contacts),
    }));
}

function missingWords(id: number, contacts: ReadonlyMap<number, Contact | null>): string | null {
  if (!contacts.has(id)) return 'None yet: ask on the day';
  return contacts.get(id) === null ? 'Cannot be opened: ask on the day' : null;
}
