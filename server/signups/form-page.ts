import type { Signing } from '../waivers/rules.js';
import { type Faults, groups, line, summary, type Typed, ticked } from '../web/forms.js';
import { memberFields } from './member-fields.js';
import type { Change } from './party-buttons.js';
import { signatureFields } from './signature-fields.js';

/** By field, in the order of the page. Signatures stand below, under the waiver. */
const MEMBER_LABELS: Record<string, string> = {
  name: 'name',
  minor: 'under 18',
  guardian: 'guardian',
  adultOn: 'turns 18 on',
  email: 'their own e-mail',
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

export interface How {
  /** The most people this party may be. */
  most: number;
  /** The walk takes under-18s. */
  minors: boolean;
  /** The address that the party is booked with, where it is known already. */
  booker?: string;
  /** Tells whether a waiver is in force; where it is left out, everyone may sign. */
  signed?: (signing: Signing) => boolean;
  /** Members (by number) who have no emergency contact yet. */
  without?: ReadonlySet<number>;
  /** What is kept for someone of this name, in words: "sister, number ending 88". */
  keptHint?: (name: string) => string | null;
  /** The party was changed by a button: where the browser goes. */
  change?: Change | undefined;
  /** Minors who went because their guardian did. */
  alsoRemoved?: string[] | undefined;
}

/** The sign-up form's model: every typed value back in its field, a sentence beside each that needs mending. */
export function signUpForm(typed: Typed, faults: Faults, how: How) {
  const party = groups(typed, 'members');
  const shown = party.length > 0 ? party : [{}];
  const headings = shown.map((member, index) => headingOf(member, index, typed));
  const added = how.change?.add ? shown.length - 1 : -1;
  const adults = shown.flatMap((member, index) => (ticked(member, 'minor') ? [] : [{ place: index, heading: headings[index] ?? '' }]));
  const members = shown.map((member, index) =>
    memberFields(
      member,
      { index, heading: headings[index] ?? '', first: headings[0] ?? '', focused: added === index, adults },
      faults,
      how,
    ),
  );
  return {
    form: {
      name: line(typed, 'name'),
      email: line(typed, 'email'),
      phone: line(typed, 'phone'),
      agreeRules: ticked(typed, 'agreeRules'),
      agreeWaiver: ticked(typed, 'agreeWaiver'),
      keepContacts: ticked(typed, 'keepContacts'),
    },
    faults,
    errors: summary(inPageOrder(faults, shown.length), (field) => labelOf(field, headings)),
    members,
    takesMinors: how.minors,
    ...signatureFields(shown, { headings, booker: how.booker ?? line(typed, 'email') }, faults, how),
    more: shown.length < how.most,
    removed: how.change !== undefined && how.change.remove !== '',
    alsoRemoved: how.alsoRemoved?.join(', ') ?? '',
    button: shown.length === 1 ? 'Sign up' : `Sign up ${shown.length} people`,
  };
}

function headingOf(member: Typed, index: number, typed: Typed): string {
  const name = line(member, 'name');
  if (index === 0) return name || line(typed, 'name') || 'First walker';
  return name || (ticked(member, 'minor') ? 'Child' : `Walker ${index + 1}`);
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
