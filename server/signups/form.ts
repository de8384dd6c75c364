import type { CountryCode } from 'libphonenumber-js';
import { readEmail } from '../people/email.js';
import { nameKey } from '../waivers/rules.js';
import { type Faults, groups, line, type Typed, ticked } from '../web/forms.js';
import { readPhone } from './phone.js';

export const MOST_IN_PARTY = 20;
const MOST_NAME = 80;

/** Whom to phone for one party member; what is sealed. */
export interface Contact {
  name: string;
  relation: string;
  phone: string;
  phoneTyped: string;
  note: string;
}

/** One party member as typed and checked. */
export interface Member {
  /** The member's number, where the party is being changed; null for someone new. */
  id: number | null;
  name: string;
  /** Null where an existing member's contact stays as it is. */
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

export interface SignUpFacts {
  country: CountryCode;
  /** The members a party has, where it is being changed. Each may be named once. */
  known?: ReadonlySet<number>;
  /** Whether this person has a waiver in force (same e-mail, same name). */
  hasWaiver: (email: string, name: string) => boolean;
}

/** Reads a posted sign-up: the form, or a sentence for each field to mend. Pure but for what `facts` looks up. */
export function readSignUp(typed: Typed, facts: SignUpFacts): { form: SignUpForm } | { faults: Faults } {
  const faults: Faults = {};
  if (line(typed, 'website') !== '') faults.website = 'Leave the field "Website" empty: it is a trap for robots.';
  const who = readBooker(typed, facts, faults);
  const members = readMembers(typed, who.name, facts, faults);
  if (!ticked(typed, 'agreeRules')) faults.agreeRules = 'Everyone in the party agrees to the rules, each time.';
  checkWaivers(typed, who.email, members, facts, faults);
  return Object.keys(faults).length > 0 ? { faults } : { form: { ...who, members } };
}

function readBooker(typed: Typed, facts: SignUpFacts, faults: Faults) {
  const email = readEmail(line(typed, 'email'));
  if (email === null) faults.email = 'Type an e-mail address such as ana@walkers.example: the confirmation goes there.';
  return { email: email ?? '', ...readNameAndPhone(typed, facts.country, faults) };
}

/** The booker's name and phone, on both forms that ask for them. */
export function readNameAndPhone(typed: Typed, country: CountryCode, faults: Faults) {
  const name = readName(line(typed, 'name'), 'name', 'Type your name.', faults);
  const phoneTyped = line(typed, 'phone');
  const phone = readPhone(phoneTyped, country);
  if ('fault' in phone) faults.phone = phone.fault;
  return { name, phoneTyped, phone: 'e164' in phone ? phone.e164 : '' };
}

function readName(name: string, field: string, missing: string, faults: Faults): string {
  if (!/\p{L}/u.test(name)) faults[field] = missing;
  else if (name.length > MOST_NAME) faults[field] = `Keep the name under ${MOST_NAME} characters.`;
  return name;
}

/** The party; the first member is the booker where no name was typed. */
export function readMembers(typed: Typed, booker: string, facts: Pick<SignUpFacts, 'country' | 'known'>, faults: Faults): Member[] {
  const typedMembers = groups(typed, 'members').filter((member) => line(member, 'remove') === '');
  if (typedMembers.length === 0) faults['members[0][contactName]'] = 'Add at least one person who will walk.';
  if (typedMembers.length > MOST_IN_PARTY)
    faults['members[0][name]'] = `A party is ${MOST_IN_PARTY} people at most. Ask the leader about larger groups.`;
  const unnamed = new Set(facts.known);
  const members = typedMembers.slice(0, MOST_IN_PARTY).map((member, index) => {
    const typedId = Number(line(member, 'id') || Number.NaN);
    const id = unnamed.delete(typedId) ? typedId : null;
    return readMember(member, { index, id, booker, country: facts.country }, faults);
  });
  checkTwice(members, faults);
  return members;
}

function readMember(typed: Typed, at: { index: number; id: number | null; booker: string; country: CountryCode }, faults: Faults): Member {
  const { index, id, booker, country } = at;
  const field = (name: string) => `members[${index}][${name}]`;
  const typedName = line(typed, 'name') || (index === 0 ? booker : '');
  const name =
    index === 0 && typedName === '' ? '' : readName(typedName, field('name'), 'Type the name of this walker, or remove them.', faults);
  if (ticked(typed, 'minor')) faults[field('minor')] = 'Under-18s cannot be signed up here yet. Ask the leader before you bring a child.';
  const contact = readContact(typed, field, { mayStay: id !== null, country }, faults);
  return { id, name, contact, signature: line(typed, 'signature').slice(0, MOST_NAME) };
}

function readContact(
  typed: Typed,
  at: (field: string) => string,
  how: { mayStay: boolean; country: CountryCode },
  faults: Faults,
): Contact | null {
  const read = {
    name: line(typed, 'contactName'),
    relation: line(typed, 'contactRelation'),
    phoneTyped: line(typed, 'contactPhone'),
    note: line(typed, 'note'),
  };
  if (how.mayStay && Object.values(read).every((value) => value === '')) return null;
  readName(read.name, at('contactName'), 'Whom do we phone if something happens? Type their name.', faults);
  if (read.relation === '') faults[at('contactRelation')] = 'Say who they are to this walker: partner, sister, neighbour.';
  if (read.relation.length > 60) faults[at('contactRelation')] = 'Keep this under 60 characters.';
  const phone = readPhone(read.phoneTyped, how.country);
  if ('fault' in phone) faults[at('contactPhone')] = phone.fault;
  if (read.note.length > 500) faults[at('note')] = `Keep this under 500 characters; it has ${read.note.length}.`;
  return { ...read, phone: 'e164' in phone ? phone.e164 : '' };
}

function checkTwice(members: Member[], faults: Faults): void {
  const seen = new Set<string>();
  for (const [index, member] of members.entries()) {
    const key = nameKey(member.name);
    if (key !== '' && seen.has(key))
      faults[`members[${index}][name]`] =
        `${member.name} is in this party already. If two people share a name, add a middle name or initial.`;
    seen.add(key);
  }
}

/** A signature from each person who has no waiver in force, and one tick for the text they sign. */
export function checkWaivers(
  typed: Typed,
  address: string,
  members: Member[],
  facts: Pick<SignUpFacts, 'hasWaiver'>,
  faults: Faults,
): void {
  let owed = false;
  for (const [index, member] of members.entries()) {
    if (member.name === '') continue;
    const signed = member.signature !== '';
    if (!signed && facts.hasWaiver(address, member.name)) continue;
    owed = true;
    if (!/\p{L}.*\p{L}/u.test(member.signature)) faults[`members[${index}][signature]`] = 'Type the full name to sign the waiver.';
  }
  if (owed && !ticked(typed, 'agreeWaiver')) faults.agreeWaiver = 'Read the waiver and tick that each of you signs it.';
}
