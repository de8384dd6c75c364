import { describe, expect, it } from 'vitest';
import { readSignUp } from '../../server/signups/form.js';
import { inPageOrder, signUpForm } from '../../server/signups/form-page.js';
import { isOwnName } from '../../server/waivers/rules.js';
import { type Faults, fieldId } from '../../server/web/forms.js';
import { parseForm } from '../../server/web/parse-form.js';
import { signUpFields } from '../support/sign-up.js';
import { party } from './opened.js';

const TEXT = { id: 1, version: 3, body: 'Sign here.', sha256: '' };

function faultsOf(fields: Record<string, string>, facts: { places?: number; signed?: string[]; tellsSigned?: boolean } = {}): Faults {
  const { places = 12, signed = [], tellsSigned = false } = facts;
  const read = readSignUp(parseForm(new URLSearchParams(fields).toString()), {
    country: 'US',
    places,
    minors: true,
    tellsSigned,
    texts: { rules: TEXT, waiver: TEXT },
    date: '2026-12-05',
    hasWaiver: (signing) => signed.includes(signing.forName),
  });
  return 'faults' in read ? read.faults : {};
}

describe('a signature', () => {
  it('is the own name of who signs, however they space, dot or capitalise it', () => {
    for (const same of ['Ana M. Ferreira', 'ana  m ferreira', 'ANA M FERREIRA', 'Ａna M Ferreira', 'A n a M. Ferreira'])
      expect(isOwnName('Ana M. Ferreira', same)).toBe(true);
    expect(isOwnName("Sean O'Neil", 'Sean O’Neil')).toBe(true);
    expect(isOwnName('דוד בן־גוריון', 'דוד בן-גוריון')).toBe(true);
    expect(isOwnName('Ann Smith–Jones', 'Ann Smith-Jones')).toBe(true);
    for (const other of ['', '.', 'Bob Smith', 'Ana', 'Ferreira Ana M', 'Ana M. Ferreiras'])
      expect(isOwnName('Ana M. Ferreira', other)).toBe(false);
  });

  it("is refused in another's name, in force or not", () => {
    const bob = signUpFields({ 'members[0][signature]': 'Bob Smith' });
    const refused = { 'members[0][signature]': 'Type your full name as above: Ana Ferreira.' };
    expect(faultsOf(bob)).toEqual(refused);
    expect(faultsOf(bob, { signed: ['Ana Ferreira'] })).toEqual(refused);
  });

  it('is compared with the name of that walker: the booker is the first where no other is named', () => {
    expect(faultsOf(signUpFields({ 'members[0][name]': '' }))).toEqual({});
    expect(faultsOf(signUpFields({ 'members[0][name]': 'Bea Birch' }))).toHaveProperty('members[0][signature]');
    const swapped = party('a@walkers.example', 'Ann Ash', 'Abe Ash');
    expect(Object.keys(faultsOf({ ...swapped, 'members[1][signature]': 'Ann Ash' }))).toEqual(['members[1][signature]']);
  });
});

describe('what needs mending', () => {
  it('is told all at once, as the fields follow each other', () => {
    const told = [
      'name',
      'email',
      'phone',
      'members[0][contactName]',
      'members[0][contactRelation]',
      'members[0][contactPhone]',
      'agreeRules',
      'members[0][signature]',
      'agreeWaiver',
    ];
    for (const fields of [{}, { 'members[0][name]': '' }]) {
      const faults = faultsOf(fields as Record<string, string>);
      const { errors } = signUpForm({}, faults, { most: 12, minors: true });
      expect(errors?.errorList.map((error) => error.href)).toEqual(told.map((field) => `#${fieldId(field)}`));
      expect(Object.keys(faults)).toHaveLength(told.length);
    }
  });

  it('names whose it is, and does not say it twice', () => {
    const fields = { ...party('a@walkers.example', 'Ann Ash', 'Abe Ash'), 'members[1][contactName]': '', 'members[1][signature]': '' };
    const { errors } = signUpForm(parseForm(new URLSearchParams(fields).toString()), faultsOf(fields), { most: 12, minors: true });
    expect(errors?.errorList.map((error) => error.text)).toEqual([
      'Abe Ash, whom to phone: Type their name.',
      'Abe Ash, signature: Type your full name as above: Abe Ash. Signed already this season? Then leave it empty.',
    ]);
  });

  it('is a party larger than the walk will ever hold, and not one as large', () => {
    const two = party('a@walkers.example', 'Ann Ash', 'Abe Ash');
    expect(faultsOf(two, { places: 2 })).toEqual({});
    expect(faultsOf(two, { places: 1 })).toEqual({
      'members[1][name]': 'This walk takes 1 person in all: a party of 2 can never have a place. Remove 1 of you.',
    });
  });

  it('has a field on the page, whatever it is', () => {
    const crowd = party('a@walkers.example', ...Array.from({ length: 21 }, (_, index) => `Walker ${'abcdefghijklmnopqrstuvw'[index]}`));
    const faults = faultsOf({ ...crowd, website: 'x', 'members[2][minor]': 'yes', 'members[3][note]': 'n'.repeat(501) }, { places: 30 });
    expect(Object.keys(inPageOrder(faults, 21)).sort()).toEqual(Object.keys(faults).sort());
    expect(faults).toHaveProperty('members[0][name]');
  });
});

describe('a text published while the form was open', () => {
  it('is to be read first; a form that does not say what it showed is taken at its word', () => {
    expect(faultsOf(signUpFields({ rulesVersion: '2' }))).toEqual({ agreeRules: expect.stringContaining('read them again') });
    expect(faultsOf(signUpFields({ waiverVersion: '2' }))).toEqual({ agreeWaiver: expect.stringContaining('read it again') });
    expect(faultsOf(signUpFields({ rulesVersion: '3', waiverVersion: '3' }))).toEqual({});
    expect(faultsOf(signUpFields())).toEqual({});
  });
});

it('a form that is refused anyway tells nobody who has signed; whoever is signed in with the address is told', () => {
  const asked = signUpFields({ 'members[0][signature]': '', agreeWaiver: '', agreeRules: '' });
  const unknown = faultsOf(asked);
  expect(faultsOf(asked, { signed: ['Ana Ferreira'] })).toEqual(unknown);
  expect(unknown['members[0][signature]']).toContain('Signed already this season? Then leave it empty.');
  expect(faultsOf(signUpFields({ 'members[0][signature]': '', agreeWaiver: '' }), { signed: ['Ana Ferreira'] })).toEqual({});
  // A form that shows an older text is refused anyway, too.
  const stale = signUpFields({ 'members[0][signature]': '', agreeWaiver: '', waiverVersion: '0' });
  expect(faultsOf(stale, { signed: ['Ana Ferreira'] })).toEqual(faultsOf(stale));
  expect(faultsOf(asked, { signed: ['Ana Ferreira'], tellsSigned: true })).toEqual({ agreeRules: expect.any(String) });
});
