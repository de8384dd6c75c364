import type { Sealer } from '../../server/db/seal.js';
import type { Member, SignUpForm } from '../../server/signups/form.js';
import { signingToken } from '../../server/signups/link.js';

/** A sign-up as the form reads it: one adult unless `members` says more. */
export function signUpForm(changed: Partial<SignUpForm> = {}): SignUpForm {
  const name = changed.name ?? 'Ana Ferreira';
  return {
    name,
    email: 'ana@walkers.example',
    phone: '+12025550123',
    phoneTyped: '(202) 555-0123',
    members: [member({ name })],
    ...changed,
  };
}

/** One adult who signs for themself. */
export function member(changed: Partial<Member> & { name: string }): Member {
  const blank = { id: null, minor: false, adultOn: '', guardian: null, email: '', photos: false };
  return { ...blank, contact: contact(), signature: changed.name, ...changed };
}

/** A party of two, of whom the second is to sign by a link of their own. */
export function withAbsent(): Member[] {
  return [member({ name: 'Ana Ferreira' }), member({ name: 'Ben Birch', email: 'ben@walkers.example', signature: '', contact: null })];
}

/** The secret of that link, in the first party of a fresh database. */
export function absentToken(site: { services: { sealer: Sealer } }): string {
  return signingToken(site.services.sealer, 2, 'ben@walkers.example');
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
