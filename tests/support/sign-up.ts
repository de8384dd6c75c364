import type { SignUpForm } from '../../server/signups/form.js';

/** A sign-up as the form reads it: one adult unless `members` says more. */
export function signUpForm(changed: Partial<SignUpForm> = {}): SignUpForm {
  const name = changed.name ?? 'Ana Ferreira';
  return {
    name,
    email: 'ana@walkers.example',
    phone: '+12025550123',
    phoneTyped: '(202) 555-0123',
    members: [{ id: null, name, contact: contact(), signature: name }],
    ...changed,
  };
}

export function contact() {
  return { name: 'Rui Ferreira', relation: 'brother', phone: '+12025550188', phoneTyped: '(202) 555-0188', note: '' };
}

/** The same sign-up as a browser posts it. */
export function signUpFields(changed: Record<string, string> = {}): Record<string, string> {
  return {
    name: 'Ana Ferreira',
    email: 'ana@walkers.example',
    phone: '(202) 555-0123',
    'members[0][name]': 'Ana Ferreira',
    'members[0][contactName]': 'Rui Ferreira',
    'members[0][contactRelation]': 'brother',
    'members[0][contactPhone]': '(202) 555-0188',
    'members[0][note]': '',
    'members[0][signature]': 'Ana Ferreira',
    agreeRules: 'yes',
    agreeWaiver: 'yes',
    website: '',
    ...changed,
  };
}
