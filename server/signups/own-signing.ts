import type { CountryCode } from 'libphonenumber-js';
import type { Contact } from '../contacts/contact.js';
import { isEmpty, readContact, typedContact } from '../contacts/form.js';
import { nameKey, type Signing } from '../waivers/rules.js';
import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import { readName, twice } from './name.js';
import { checkShown, type ShownTexts } from './shown-texts.js';
import { signatureFault } from './signing.js';

/** Someone an absent adult signs for: themself, or a minor whose guardian they are. */
export interface ToSign {
  memberId: number;
  signing: Signing;
  /** A waiver is in force: nothing to sign. */
  signed: boolean;
}

export interface OwnSigningFacts {
  country: CountryCode;
  people: ToSign[];
  /** The absent adult's own number. */
  self: number;
  hasContact: boolean;
  /** The names of the others in the party. */
  others: string[];
  texts: ShownTexts;
  agreedRules: boolean;
}

/** What an absent adult gave on their page. */
export interface OwnSigning {
  name: string;
  photos: boolean;
  /** Null where the one kept stays. */
  contact: Contact | null;
  /** Those signed now, with what was typed. */
  signatures: { memberId: number; signing: Signing; signature: string }[];
}

/** The name of the field in which someone is signed for. */
export function signatureField(memberId: number): string {
  return `signature-${memberId}`;
}

/** Reads the page on which an absent adult signs: what they gave, or a sentence for each field to mend. Pure. */
export function readOwnSigning(typed: Typed, facts: OwnSigningFacts): { given: OwnSigning } | { faults: Faults } {
  const faults: Faults = {};
  const name = readName(line(typed, 'name'), 'name', 'Type your name.', faults);
  if (facts.others.some((other) => nameKey(other) === nameKey(name))) faults.name = twice(name);
  const read = typedContact(typed);
  const contact = facts.hasContact && isEmpty(read) ? null : readContact(read, facts.country, (field) => field, faults);
  if (!facts.agreedRules && !ticked(typed, 'agreeRules')) faults.agreeRules = 'Read them and tick that you will keep to them.';
  const signatures = facts.people
    // A name that is changed here is another name: what was signed in the old one does not hold for it.
    .filter((one) => !one.signed || one.signing.signerName !== name)
    .map((one) => ({
      memberId: one.memberId,
      signing: inName(one, name, facts.self),
      signature: line(typed, signatureField(one.memberId)),
    }));
  for (const { memberId, signing, signature } of signatures) {
    const fault = signatureFault(signing, signature);
    if (fault !== null) faults[signatureField(memberId)] = fault;
  }
  if (signatures.length > 0 && !ticked(typed, 'agreeWaiver')) faults.agreeWaiver = 'Read it and tick that you sign it.';
  checkShown(typed, facts.texts, faults);
  if (Object.keys(faults).length > 0) return { faults };
  const photos = ticked(typed, 'photos');
  return { given: { name, photos, contact, signatures } };
}

function inName({ memberId, signing }: ToSign, name: string, self: number): Signing {
  return { ...signing, signerName: name, forName: memberId === self ? name : signing.forName };
}
