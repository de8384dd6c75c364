import type { CountryCode } from 'libphonenumber-js';
import type { Contact } from '../contacts/contact.js';
import { readEmail } from '../people/email.js';
import type { Signing } from '../waivers/rules.js';
import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import { readPhone } from '../web/phone.js';
import { readMembers } from './members.js';
import { readName } from './name.js';
import { checkShown, type ShownTexts, unread } from './shown-texts.js';
import { checkWaivers } from './signing.js';

/** One party member as typed and checked. */
export interface Member {
  /** The member's number, where the party is being changed; null for someone new. */
  id: number | null;
  name: string;
  /** Under 18. */
  minor: boolean;
  /** The date a minor turns 18, YYYY-MM-DD; empty where it was not said. */
  adultOn: string;
  /** A minor's guardian: their place in this party. */
  guardian: number | null;
  /** Of an adult who is not there to sign: their own address. Empty where they sign here. */
  email: string;
  /** Whether pictures that show them may be used. */
  photos: boolean;
  /** Null where an existing member's contact stays as it is, and where an absent adult is yet to give one. */
  contact: Contact | null;
  /** Empty where none was typed. */
  signature: string;
}

export interface SignUpForm {
  name: string;
  email: string;
  phone: string;
  phoneTyped: string;
  members: Member[];
}

/** A member as they stand before a change. */
export interface KnownMember {
  hasContact: boolean;
  /** Empty where they sign here. */
  email: string;
  minor: boolean;
}

export interface SignUpFacts {
  country: CountryCode;
  /** The most people this party could ever have places for. */
  places: number;
  /** The walk takes under-18s. */
  minors: boolean;
  /** The date of the walk, YYYY-MM-DD: on it, minors are under 18 or not. */
  date: string;
  /** The members a party has, where it is being changed. Each may be named once. */
  known?: ReadonlyMap<number, KnownMember>;
  /** The texts in force: what the form must have shown. */
  texts: ShownTexts;
  /** Whether this person has a waiver in force. */
  hasWaiver: (signing: Signing) => boolean;
  /** The visitor is signed in with the sign-up's address, and may know whose waiver is in force. */
  tellsSigned?: boolean;
  /** The contact that the visitor has had kept for someone of this name. */
  keptContact?: (name: string) => Contact | null;
}

/** Reads a posted sign-up: the form, or a sentence for each field to mend. Pure but for what `facts` looks up. */
export function readSignUp(typed: Typed, facts: SignUpFacts): { form: SignUpForm } | { faults: Faults } {
  const faults: Faults = {};
  if (line(typed, 'website') !== '') faults.website = 'Leave the field "Website" empty: it is a trap for robots.';
  const email = readEmail(line(typed, 'email'));
  if (email === null) faults.email = 'Type an address such as ana@walkers.example: the confirmation goes there.';
  const who = { email: email ?? '', ...readNameAndPhone(typed, facts.country, faults) };
  const members = readMembers(typed, who, facts, faults);
  if (!ticked(typed, 'agreeRules')) faults.agreeRules = 'Everyone in the party agrees to them, each time.';
  // Of a form that is refused anyway nobody learns who has signed: whoever sends it need not be who they say.
  const refused = Object.keys({ ...faults, ...unread(typed, facts.texts) }).length > 0;
  const hidden = refused && !facts.tellsSigned;
  checkWaivers(typed, who.email, members, hidden ? { hasWaiver: () => false, mayHaveSigned: true } : facts, faults);
  // Said last: what was changed counts for more than that a tick is missing.
  checkShown(typed, facts.texts, faults);
  return Object.keys(faults).length > 0 ? { faults } : { form: { ...who, members } };
}

/** Reads a change to a party: as a sign-up, but the address and the rules agreed to stay as they are. */
export function readParty(typed: Typed, address: string, facts: SignUpFacts): { form: Omit<SignUpForm, 'email'> } | { faults: Faults } {
  const faults: Faults = {};
  const who = readNameAndPhone(typed, facts.country, faults);
  const members = readMembers(typed, { ...who, email: address }, facts, faults);
  checkWaivers(typed, address, members, facts, faults);
  checkShown(typed, facts.texts, faults);
  return Object.keys(faults).length > 0 ? { faults } : { form: { ...who, members } };
}

function readNameAndPhone(typed: Typed, country: CountryCode, faults: Faults) {
  const name = readName(line(typed, 'name'), 'name', 'Type your name.', faults);
  const phoneTyped = line(typed, 'phone');
  const phone = readPhone(phoneTyped, country);
  if ('fault' in phone) faults.phone = phone.fault;
  return { name, phoneTyped, phone: 'e164' in phone ? phone.e164 : '' };
}
