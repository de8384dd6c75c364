import { type Faults, groups, line, summary, type Typed, ticked } from '../web/forms.js';

const MEMBER_LABELS: Record<string, string> = {
  name: 'Name',
  minor: 'Under 18',
  contactName: 'Whom to phone',
  contactRelation: 'Relation',
  contactPhone: 'Phone to call',
  note: 'For a first-aider',
  signature: 'Signature',
};
const LABELS: Record<string, string> = {
  name: 'Your name',
  email: 'E-mail',
  phone: 'Your phone',
  agreeRules: 'Rules',
  agreeWaiver: 'Waiver',
};

/** The sign-up form's model: every typed value back in its field, a sentence beside each that needs mending. */
export function signUpForm(typed: Typed, faults: Faults, mostMembers: number) {
  const members = groups(typed, 'members');
  const shown = members.length > 0 ? members : [{}];
  const names = shown.map((member, index) => line(member, 'name') || (index === 0 ? line(typed, 'name') : ''));
  return {
    form: {
      name: line(typed, 'name'),
      email: line(typed, 'email'),
      phone: line(typed, 'phone'),
      agreeRules: ticked(typed, 'agreeRules'),
      agreeWaiver: ticked(typed, 'agreeWaiver'),
    },
    faults,
    errors: summary(faults, (field) => labelOf(field, names)),
    members: shown.map((member, index) => memberFields(member, index, names[index] ?? '', faults)),
    /** Someone in the party has no waiver in force: the text is shown. */
    signing: shown.some((member) => !ticked(member, 'waiver')),
    solo: shown.length === 1,
    more: shown.length < mostMembers,
    button: shown.length === 1 ? 'Sign up' : `Sign up ${shown.length} people`,
  };
}

function memberFields(typed: Typed, index: number, name: string, faults: Faults) {
  const field = (key: string) => ({
    id: `members-${index}-${key}`,
    name: `members[${index}][${key}]`,
    value: line(typed, key),
    error: faults[`members[${index}][${key}]`],
  });
  return {
    number: index + 1,
    index,
    heading: name || (index === 0 ? 'You' : `Walker ${index + 1}`),
    first: index === 0,
    memberId: line(typed, 'id'),
    removeName: `members[${index}][remove]`,
    idName: `members[${index}][id]`,
    name: field('name'),
    minor: field('minor'),
    contactName: field('contactName'),
    contactRelation: field('contactRelation'),
    contactPhone: field('contactPhone'),
    note: field('note'),
    signature: field('signature'),
    waiver: ticked(typed, 'waiver'),
  };
}

function labelOf(field: string, names: string[]): string {
  const found = /^members\[(\d+)\]\[(\w+)\]$/.exec(field);
  if (!found) return LABELS[field] ?? '';
  const label = MEMBER_LABELS[found[2] ?? ''] ?? '';
  const name = names[Number(found[1])];
  return name ? `${name}, ${label.charAt(0).toLowerCase()}${label.slice(1)}` : label;
}

/** The form as it was typed, with one more walker, or without one: what the buttons for these ask. */
export function withParty(typed: Typed, change: { add: boolean; remove: string }): Typed {
  const members = groups(typed, 'members');
  const kept = change.remove === '' ? members : members.filter((_, index) => String(index) !== change.remove);
  return { ...typed, members: change.add ? [...kept, {}] : kept };
}
