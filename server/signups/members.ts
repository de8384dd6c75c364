import type { Contact } from '../contacts/contact.js';
import { isEmpty, readContact, typedContact } from '../contacts/form.js';
import { readEmail } from '../people/email.js';
import { nameKey } from '../waivers/rules.js';
import { type Faults, groups, isDate, line, type Typed, ticked } from '../web/forms.js';
import type { Member, SignUpFacts } from './form.js';
import { guardianOf } from './guardian.js';
import { MOST_NAME, readName, twice } from './name.js';

export const MOST_IN_PARTY = 20;
const ADULT_AT_YEARS = 18;

/** A member's place in the form and what it says of itself. */
interface At {
  index: number;
  id: number | null;
  /** A field's whole name: members[2][name]. */
  field: (name: string) => string;
}

/** The party; the first member is the booker where no name was typed. */
export function readMembers(typed: Typed, booker: Booker, facts: SignUpFacts, faults: Faults): Member[] {
  const typedMembers = groups(typed, 'members');
  if (typedMembers.length === 0) typedMembers.push({});
  const unnamed = new Set(facts.known?.keys());
  const read = typedMembers.slice(0, MOST_IN_PARTY);
  const members = read.map((member, index) => {
    const typedId = Number(line(member, 'id') || Number.NaN);
    const at = { index, id: unnamed.delete(typedId) ? typedId : null, field: (name: string) => `members[${index}][${name}]` };
    return readMember(member, at, { ...facts, booker, first: read[0] ?? {} }, faults);
  });
  for (const [index, member] of members.entries())
    if (member.minor) member.guardian = guardianOf(line(read[index] ?? {}, 'guardian'), index, members, faults);
  checkTwice(members, faults);
  checkSize(typedMembers.length, facts.places, faults);
  return members;
}

/** Who books: their name and address, as far as they could be read. */
interface Booker {
  name: string;
  email: string;
}

type Around = SignUpFacts & { booker: Booker; first: Typed };

function readMember(typed: Typed, at: At, around: Around, faults: Faults): Member {
  const { index, id, field } = at;
  const typedName = line(typed, 'name') || (index === 0 ? around.booker.name : '');
  const name = index === 0 && typedName === '' ? '' : readName(typedName, field('name'), 'Type their name, or remove them.', faults);
  const minor = ticked(typed, 'minor');
  const known = id === null ? undefined : around.known?.get(id);
  // One booked before the walk stopped taking them stays.
  if (minor && !around.minors && !known?.minor)
    faults[field('minor')] = 'This walk is for adults. Leave them out, or choose a walk that takes under-18s with a guardian.';
  const email = minor ? '' : readOwnEmail(line(typed, 'email'), around.booker.email, field, faults);
  const adultOn = minor ? readAdultOn(line(typed, 'adultOn'), around.date, field, faults) : '';
  const contact = contactOf(typed, { at, name, email }, around, faults);
  const photos = ticked(typed, 'photos');
  return { id, name, minor, adultOn, guardian: null, email, photos, contact, signature: line(typed, 'signature').slice(0, MOST_NAME) };
}

function readOwnEmail(typed: string, booker: string, field: At['field'], faults: Faults): string {
  if (typed === '') return '';
  const email = readEmail(typed);
  if (email === null) faults[field('email')] = 'Type an address such as ben@walkers.example, or leave it empty if they sign here.';
  if (email !== null && email === booker)
    faults[field('email')] = 'This is your own address. Leave it empty if they sign here; to sign by mail they need one of their own.';
  return email ?? typed;
}

/** The day they turn 18, where it matters for this walk or may come to: whoever is 18 on the day signs for themself. */
function readAdultOn(typed: string, date: string, field: At['field'], faults: Faults): string {
  if (typed === '') return '';
  if (!isDate(typed)) faults[field('adultOn')] = 'That date does not exist. Type it as YYYY-MM-DD, or leave it empty.';
  else if (typed <= `${Number(date.slice(0, 4)) - 1}${date.slice(4)}`)
    faults[field('adultOn')] = 'This is the day they turn 18, not the day they were born. Leave it empty if it is more than a year away.';
  else if (typed <= date) faults[field('minor')] = 'They are 18 on the day of the walk: take this tick away, and they sign for themself.';
  else if (Number(typed.slice(0, 4)) > Number(date.slice(0, 4)) + ADULT_AT_YEARS)
    faults[field('adultOn')] = 'This is the day they turn 18: check the year.';
  return typed;
}

function contactOf(typed: Typed, who: { at: At; name: string; email: string }, around: Around, faults: Faults): Contact | null {
  const { at, name, email } = who;
  const read = typedContact(typed);
  if (at.index > 0 && ticked(typed, 'sameContact')) {
    const first = typedContact(around.first);
    const same = { ...first, relation: read.relation || first.relation, note: read.note };
    if (first.name !== '' || first.phoneTyped !== '') return readContact(same, around.country, at.field, {});
  }
  if (isEmpty(read)) {
    const known = at.id === null ? undefined : around.known?.get(at.id);
    // What someone gave on a page of their own is not the booker's to go on with.
    if (email !== '' || (known?.hasContact && known.email === email)) return null;
    const kept = around.keptContact?.(name) ?? null;
    if (kept) return kept;
    if (at.index > 0) {
      faults[at.field('contactName')] = 'Say whom to phone for them, or tick that it is the same as for the first walker.';
      return null;
    }
  }
  return readContact(read, around.country, at.field, faults);
}

function checkTwice(members: Member[], faults: Faults): void {
  const seen = new Set<string>();
  for (const [index, member] of members.entries()) {
    const key = nameKey(member.name);
    if (key !== '' && seen.has(key)) faults[`members[${index}][name]`] = twice(member.name);
    seen.add(key);
  }
}

/** A party that no walk of this size could ever take would wait for nothing. */
function checkSize(size: number, places: number, faults: Faults): void {
  if (size > MOST_IN_PARTY) faults['members[0][name]'] = `A party is ${MOST_IN_PARTY} people at most. Ask the leader about larger groups.`;
  else if (size > places)
    faults[`members[${places}][name]`] =
      `This walk takes ${places} ${places === 1 ? 'person' : 'people'} in all: a party of ${size} can never have a place. Remove ${size - places} of you.`;
}
