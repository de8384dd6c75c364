import { type Faults, line, type Typed, ticked } from '../web/forms.js';
import type { How } from './form-page.js';

/** Where a member stands in the party as it is shown. */
interface Standing {
  index: number;
  heading: string;
  /** The first member's heading: others may share that contact. */
  first: string;
  focused: boolean;
  adults: { place: number; heading: string }[];
}

/** One member's part of the form. */
export function memberFields(typed: Typed, standing: Standing, faults: Faults, how: How) {
  const { index, heading } = standing;
  const field = (key: string) => ({
    id: `members-${index}-${key}`,
    name: `members[${index}][${key}]`,
    value: line(typed, key),
    error: faults[`members[${index}][${key}]`],
  });
  const choice = (key: string) => ({ ...field(key), checked: ticked(typed, key) });
  const id = line(typed, 'id');
  const minor = ticked(typed, 'minor');
  const email = field('email');
  const contactKept = id !== '' && !how.without?.has(Number(id));
  const keptHint = id === '' ? (how.keptHint?.(heading) ?? null) : null;
  const isTouched = CONTACT.some((key) => line(typed, key) !== '' || faults[`members[${index}][${key}]`] !== undefined);
  return {
    number: index + 1,
    index,
    heading,
    first: index === 0,
    firstName: standing.first,
    focused: standing.focused,
    memberId: id,
    idName: `members[${index}][id]`,
    nameLabel: index === 0 && id === '' ? 'Name, if it is not you' : 'Name',
    // Sections keep a browser from filling one walker's fields with another's; without any token it would not give them back either.
    own: `section-walker-${index + 1} name`,
    contact: { name: `section-walker-${index + 1}-contact name`, phone: `section-walker-${index + 1}-contact tel` },
    isMinor: minor,
    // Someone who was under 18 when a walk still took minors can be seen and changed on a walk that does not.
    mayBeMinor: index > 0 && (how.minors || minor),
    mayBeAbsent: index > 0 && !minor,
    absent: email.value !== '' || email.error !== undefined,
    name: field('name'),
    minor: choice('minor'),
    guardian: { ...field('guardian'), options: guardians(typed, standing) },
    adultOn: field('adultOn'),
    email,
    sameContact: choice('sameContact'),
    maySame: index > 0 && id === '',
    contactName: field('contactName'),
    contactRelation: field('contactRelation'),
    contactPhone: field('contactPhone'),
    note: field('note'),
    photos: choice('photos'),
    contactKept,
    keptHint,
    contactFolded: isTouched ? null : foldedWords({ contactKept, keptHint, isAbsent: email.value !== '' }),
  };
}

const CONTACT = ['contactName', 'contactRelation', 'contactPhone', 'note', 'sameContact'];

/** Over contact fields that nobody needs to fill; null where they are to be filled. */
function foldedWords(is: { contactKept: boolean; keptHint: string | null; isAbsent: boolean }): string | null {
  if (is.contactKept) return 'Emergency contact: kept, sealed. Replace it?';
  if (is.keptHint !== null) return `Emergency contact: kept from before, ${is.keptHint}. Type another?`;
  return is.isAbsent ? 'Emergency contact: they give it themself, by mail' : null;
}

/** The adults to choose from; where there is one only, they are chosen already. */
function guardians(typed: Typed, { index, adults }: Standing) {
  const others = adults.filter(({ place }) => place !== index);
  const chosen = line(typed, 'guardian') || (others.length === 1 ? String(others[0]?.place) : '');
  return others.map(({ place, heading }) => ({ value: String(place), label: heading, selected: String(place) === chosen }));
}
