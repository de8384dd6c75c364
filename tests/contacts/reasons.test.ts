import { expect, it } from 'vitest';
import { whyWords } from '../../server/contacts/reasons.js';

it.each([
  // the listed reason, the words; as told to someone opened alone, and with others
  ['hurt', null, 'someone is hurt or ill', 'someone is hurt or ill'],
  ['hurt', 'a fall', 'someone is hurt or ill: a fall', 'someone is hurt or ill'],
  ['other', 'the bus is late', 'the bus is late', 'another reason'],
  ['incident', 'fell at the weir', 'fell at the weir', 'something happened'],
  ['incident', null, 'something happened', 'something happened'],
  ['sheet', null, 'sign-in sheet', 'sign-in sheet'],
  ['toString', 'x', 'another reason: x', 'another reason'],
  // rows from before the two were kept apart
  [null, 'sign-in sheet', 'sign-in sheet', 'sign-in sheet'],
  [null, 'someone is hurt or ill: Ana fell', 'someone is hurt or ill: Ana fell', 'someone is hurt or ill'],
  [null, 'Ana fell', 'Ana fell', 'another reason'],
  [null, null, 'another reason', 'another reason'],
])('%s, %s', (reason, why, alone, withOthers) => {
  expect([whyWords({ reason, why }, true), whyWords({ reason, why }, false)]).toEqual([alone, withOthers]);
});
