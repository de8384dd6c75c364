import type { CountryCode } from 'libphonenumber-js';
import { nameKey } from '../waivers/rules.js';
import { type Faults, groups, line, type Typed, ticked } from '../web/forms.js';
import { readPhone } from '../web/phone.js';
import type { Contact, Member, SignUpFacts } from './form.js';
import { MOST_NAME, readName } from './name.js';

export const MOST_IN_PARTY = 20;
const MOST_RELATION = 60;
const MOST_NOTE = 500;

type MemberFacts = Pick<SignUpFacts, 'country' | 'known' | 'places'>;

/** The party; the first member is the booker where no name was typed. */
export function readMembers(typed: Typed, booker: string, facts: MemberFacts, faults: Faults): Member[] {
  const typedMembers = groups(typed, 'members');
  if (typedMembers.length === 0) typedMembers.push({});
  const unnamed = new Set(facts.known);
  const members = typedMembers.slice(0, MOST_IN_PARTY).map((member, index) => {
    const typedId = Number(line(member, 'id') || Number.NaN);
    const id = unnamed.delete(typedId) ? typedId : null;
    return readMember(member, { index, id, booker, country: facts.country }, faults);
  });
  checkTwice(members, faults);
  checkSize(typedMembers.length, facts.places, faults);
  return members;
}

function readMember(typed: Typed, at: { index: number; id: number | null; booker: string; country: CountryCode }, faults: Faults): Member {
  const { index, id, booker, country } = at;
  const field = (name: string) => `members[${index}][${name}]`;
  const typedName = line(typed, 'name') || (index === 0 ? booker : '');
  const name = index === 0 && typedName === '' ? '' : readName(typedName, field('name'), 'Type their name, or remove them.', faults);
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
  readName(read.name, at('contactName'), 'Type their name.', faults);
  if (read.relation === '') faults[at('contactRelation')] = 'Say partner, sister, neighbour or the like.';
  if (read.relation.length > MOST_RELATION) faults[at('contactRelation')] = `Keep this under ${MOST_RELATION} characters.`;
  const phone = readPhone(read.phoneTyped, how.country);
  if ('fault' in phone) faults[at('contactPhone')] = phone.fault;
  if (read.note.length > MOST_NOTE) faults[at('note')] = `Keep this under ${MOST_NOTE} characters; it has ${read.note.length}.`;
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

/** A party that no walk of this size could ever take would wait for nothing. */
function checkSize(size: number, places: number, faults: Faults): void {
  if (size > MOST_IN_PARTY) faults['members[0][name]'] = `A party is ${MOST_IN_PARTY} people at most. Ask the leader about larger groups.`;
  else if (size > places)
    faults[`members[${places}][name]`] =
      `This walk takes ${places} ${places === 1 ? 'person' : 'people'} in all: a party of ${size} can never have a place. Remove ${size - places} of you.`;
}
