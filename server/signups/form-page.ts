import { type Faults, groups, line, summary, type Typed, ticked } from '../web/forms.js';

/** By field, in the order of the page. Signatures stand below, under the waiver. */
const MEMBER_LABELS: Record<string, string> = {
  name: 'name',
  minor: 'under 18',
  contactName: 'whom to phone',
  contactRelation: 'who that is',
  contactPhone: 'number to phone',
  note: 'for a first-aider',
};
const LABELS: Record<string, string> = {
  name: 'You',
  email: 'Your e-mail',
  phone: 'Your phone',
  agreeRules: 'Rules',
  agreeWaiver: 'Waiver',
};

/** The fields above the party. */
const ABOVE = ['name', 'email', 'phone', 'website'];

interface How {
  /** The most people this party may be. */
  most: number;
  /** Tells whether someone of this name has a waiver in force; where it is left out, everyone may sign. */
  signed?: (name: string) => boolean;
  /** The party was changed by a button: where the browser goes. */
  change?: Change | undefined;
}

/** What the buttons for one more walker, or one less, ask; `remove` is a place in the party, or empty. */
export interface Change {
  add: boolean;
  remove: string;
}

/** The sign-up form's model: every typed value back in its field, a sentence beside each that needs mending. */
export function signUpForm(typed: Typed, faults: Faults, how: How) {
  const party = groups(typed, 'members');
  const shown = party.length > 0 ? party : [{}];
  const headings = shown.map((member, index) => headingOf(member, index, typed));
  const added = how.change?.add ? shown.length - 1 : -1;
  const members = shown.map((member, index) => memberFields(member, index, headings[index] ?? '', faults, added === index));
  const signers = members.filter((member) => member.signature.error || !how.signed?.(member.heading));
  return {
    form: {
      name: line(typed, 'name'),
      email: line(typed, 'email'),
      phone: line(typed, 'phone'),
      agreeRules: ticked(typed, 'agreeRules'),
      agreeWaiver: ticked(typed, 'agreeWaiver'),
    },
    faults,
    errors: summary(inPageOrder(faults, shown.length), (field) => labelOf(field, headings)),
    members,
    /** Those who have no waiver in force: the text is shown, and a field for each to sign. */
    signers,
    /** Any of them may have signed before: who has is not told to whoever types a name. */
    maybeSigned: how.signed === undefined,
    more: shown.length < how.most,
    removed: how.change !== undefined && how.change.remove !== '',
    button: shown.length === 1 ? 'Sign up' : `Sign up ${shown.length} people`,
  };
}

function headingOf(member: Typed, index: number, typed: Typed): string {
  if (index > 0) return line(member, 'name') || `Walker ${index + 1}`;
  return line(member, 'name') || line(typed, 'name') || 'First walker';
}

function memberFields(typed: Typed, index: number, heading: string, faults: Faults, focused: boolean) {
  const field = (key: string) => ({
    id: `members-${index}-${key}`,
    name: `members[${index}][${key}]`,
    value: line(typed, key),
    error: faults[`members[${index}][${key}]`],
  });
  return {
    number: index + 1,
    index,
    heading,
    first: index === 0,
    focused,
    memberId: line(typed, 'id'),
    idName: `members[${index}][id]`,
    nameLabel: index === 0 && line(typed, 'id') === '' ? 'Name, if it is not you' : 'Name',
    signLabel: `${heading} signs: type the full name`,
    // Sections keep a browser from filling one walker's fields with another's; without any token it would not give them back either.
    own: `section-walker-${index + 1} name`,
    sign: `section-walker-${index + 1}-signature name`,
    contact: { name: `section-walker-${index + 1}-contact name`, phone: `section-walker-${index + 1}-contact tel` },
    name: field('name'),
    minor: field('minor'),
    contactName: field('contactName'),
    contactRelation: field('contactRelation'),
    contactPhone: field('contactPhone'),
    note: field('note'),
    signature: field('signature'),
  };
}

/** The faults as their fields follow each other on the page. Pure. */
export function inPageOrder(faults: Faults, members: number): Faults {
  const each = (keys: string[]) => Array.from({ length: members }, (_, index) => keys.map((key) => `members[${index}][${key}]`)).flat();
  const order = [...ABOVE, ...each(Object.keys(MEMBER_LABELS)), 'agreeRules', ...each(['signature']), 'agreeWaiver'];
  return Object.fromEntries(order.flatMap((field) => (faults[field] === undefined ? [] : [[field, faults[field]]])));
}

function labelOf(field: string, headings: string[]): string {
  const [, index = '', key = ''] = /^members\[(\d+)\]\[(\w+)\]$/.exec(field) ?? [];
  if (key === '') return LABELS[field] ?? '';
  return `${headings[Number(index)] ?? `Walker ${Number(index) + 1}`}, ${key === 'signature' ? key : (MEMBER_LABELS[key] ?? '')}`;
}

/** What the party's buttons ask; null where none of them was pressed. */
export function changeAsked(typed: Typed): Change | null {
  const change = { add: line(typed, 'add') !== '', remove: line(typed, 'removeMember') };
  return change.add || change.remove !== '' ? change : null;
}

/** The form as it was typed, with one more walker, or without one. */
export function withParty(typed: Typed, change: Change): Typed {
  const members = groups(typed, 'members');
  const kept = change.remove === '' ? members : members.filter((_, index) => String(index) !== change.remove);
  return { ...typed, members: change.add ? [...kept, {}] : kept };
}
