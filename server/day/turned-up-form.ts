import type { CountryCode } from 'libphonenumber-js';
import type { Contact } from '../contacts/contact.js';
import { isEmpty, readContact, typedContact } from '../contacts/form.js';
import { EMAIL_FAULT, readEmail } from '../people/email.js';
import { readName } from '../signups/name.js';
import { checkShown, type ShownTexts } from '../signups/shown-texts.js';
import { signatureFault } from '../signups/signing.js';
import { nameKey, type Signing } from '../waivers/rules.js';
import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import { readPhone } from '../web/phone.js';

/** Somebody on the roll who can be a guardian: an adult, with the address that they sign by, empty where they gave none. */
export interface Adult {
  who: string;
  name: string;
  email: string;
}

/** How somebody who turned up signs: typed on the leader's screen, on paper that the leader saw, or not yet. */
export const WAYS = { screen: 'On this screen, now', paper: 'On paper: I have seen it signed', later: 'Not yet' } as const;
export type Way = keyof typeof WAYS;

/** What a leader typed of somebody who turned up. */
export interface Given {
  name: string;
  minor: boolean;
  /** Of a minor: who on the roll; empty for an adult. */
  guardian: string;
  /** E.164, or empty. */
  phone: string;
  email: string;
  /** Null where nothing was typed: the one that is kept stays. */
  contact: Contact | null;
  signing: Signing;
  way: Way;
  /** As it was typed, or the signer's name where it stands on paper; empty where they sign later. */
  signature: string;
}

/** What a form is held against. */
export interface Facts {
  texts: ShownTexts;
  country: CountryCode;
  /** The adults on the roll, themself not among them. */
  adults: Adult[];
  /** Whose waiver is there, as it was signed; null where none is. */
  signed: Pick<Signing, 'forName' | 'signedAs' | 'signerName'> | null;
  hasContact: boolean;
  agreedRules: boolean;
}

const NOBODY = 'Choose the adult on the roll who stays with them all the way and signs for them.';

/** Reads what a leader types of somebody who turned up; a sentence for each field that needs mending. Pure. */
export function readTurnedUp(typed: Typed, facts: Facts): { given: Given } | { faults: Faults } {
  const faults: Faults = {};
  const name = readName(line(typed, 'name'), 'name', 'Type their name.', faults);
  const minor = ticked(typed, 'minor');
  const guardian = minor ? facts.adults.find((one) => one.who === line(typed, 'guardian')) : undefined;
  if (minor && !guardian)
    faults.guardian = facts.adults.length > 0 ? NOBODY : 'Put an adult on the roll first: under 18 only with a guardian.';
  const phone = readOptionalPhone(line(typed, 'phone'), facts.country, faults);
  const email = readOptionalEmail(line(typed, 'email'), faults);
  const contact = readTheirContact(typed, facts, faults);
  checkShown(typed, facts.texts, faults);
  if (!facts.agreedRules && !ticked(typed, 'agreeRules')) faults.agreeRules ??= 'They read the rules, and you tick this, before they walk.';
  const signing: Signing = guardian
    ? { email: guardian.email, forName: name, signedAs: 'guardian', signerName: guardian.name }
    : { email, forName: name, signedAs: 'self', signerName: minor ? '' : name };
  const way = wayOf(typed);
  const isSigned = stillSigned(facts.signed, signing);
  const signature = isSigned || way === 'later' ? '' : way === 'paper' ? signing.signerName : line(typed, 'signature');
  if (way === null && !isSigned) faults.way = 'Say how they sign: on this screen, on paper, or not yet.';
  if (way === 'screen' && !isSigned) checkSignature(typed, signing, signature, faults);
  if (Object.keys(faults).length > 0) return { faults };
  return {
    given: {
      name,
      minor,
      guardian: guardian?.who ?? '',
      phone,
      email,
      contact,
      signing,
      way: isSigned ? 'later' : (way ?? 'later'),
      signature,
    },
  };
}

/** Whether a waiver that was signed is still theirs, after what was typed: for the same name, by the same signer. Pure. */
export function stillSigned(signed: Facts['signed'], signing: Signing): boolean {
  return (
    signed !== null &&
    signed.signedAs === signing.signedAs &&
    nameKey(signed.forName) === nameKey(signing.forName) &&
    nameKey(signed.signerName) === nameKey(signing.signerName)
  );
}

function checkSignature(typed: Typed, signing: Signing, signature: string, faults: Faults): void {
  const fault = signatureFault(signing, signature);
  if (fault !== null) faults.signature = fault;
  if (!ticked(typed, 'agreeWaiver')) faults.agreeWaiver ??= 'They read it and tick that they sign it.';
}

function wayOf(typed: Typed): Way | null {
  const way = line(typed, 'way');
  return Object.hasOwn(WAYS, way) ? (way as Way) : null;
}

function readOptionalPhone(typed: string, country: CountryCode, faults: Faults): string {
  if (typed === '') return '';
  const phone = readPhone(typed, country);
  if ('e164' in phone) return phone.e164;
  faults.phone = phone.fault;
  return '';
}

function readOptionalEmail(typed: string, faults: Faults): string {
  const email = readEmail(typed);
  if (typed !== '' && email === null) faults.email = `${EMAIL_FAULT} Or leave it empty.`;
  return email ?? '';
}

/** Somebody may have nobody to name, and says so; who leaves it all empty keeps what is kept. */
function readTheirContact(typed: Typed, { country, hasContact }: Facts, faults: Faults): Contact | null {
  const contact = typedContact(typed);
  if (isEmpty(contact) && (hasContact || ticked(typed, 'noContact'))) return null;
  return readContact(contact, country, (field) => field, faults);
}
