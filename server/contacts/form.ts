import type { CountryCode } from 'libphonenumber-js';
import { readName } from '../signups/name.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { readPhone } from '../web/phone.js';
import type { Contact } from './contact.js';

const MOST_RELATION = 60;
const MOST_NOTE = 500;

/** An emergency contact as it was typed, before anything is asked of it. */
export interface TypedContact {
  name: string;
  relation: string;
  phoneTyped: string;
  note: string;
}

export function typedContact(typed: Typed): TypedContact {
  return {
    name: line(typed, 'contactName'),
    relation: line(typed, 'contactRelation'),
    phoneTyped: line(typed, 'contactPhone'),
    note: line(typed, 'note'),
  };
}

/** Whether nothing of a contact was typed. */
export function isEmpty(contact: TypedContact): boolean {
  return Object.values(contact).every((value) => value === '');
}

/** Checks an emergency contact; a sentence goes to each field that needs mending. Pure. @param at a field's whole name */
export function readContact(read: TypedContact, country: CountryCode, at: (field: string) => string, faults: Faults): Contact {
  readName(read.name, at('contactName'), 'Type their name.', faults);
  if (read.relation === '') faults[at('contactRelation')] = 'Say partner, sister, neighbour or the like.';
  if (read.relation.length > MOST_RELATION) faults[at('contactRelation')] = `Keep this under ${MOST_RELATION} characters.`;
  const phone = readPhone(read.phoneTyped, country);
  if ('fault' in phone) faults[at('contactPhone')] = phone.fault;
  if (read.note.length > MOST_NOTE) faults[at('note')] = `Keep this under ${MOST_NOTE} characters; it has ${read.note.length}.`;
  return { ...read, phone: 'e164' in phone ? phone.e164 : '' };
}
