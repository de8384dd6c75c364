import { expect, it } from 'vitest';
import { cell, saturdayIn } from '../../server/coverage/rules.js';

it.each([
  [0, 2, { met: 0, needed: 2, fill: 'none' }],
  [1, 2, { met: 1, needed: 2, fill: 'part' }],
  [2, 2, { met: 2, needed: 2, fill: 'full' }],
  [0, 0, { met: 0, needed: 0, fill: 'full' }],
] as const)('%i met of %i needed: %o', (met, needed, expected) => {
  expect(cell(met, needed)).toEqual(expected);
});

it.each([
  ['2027-02', '2026-11-25', '2027-02-06'],
  ['2026-08', '2026-07-31', '2026-08-01'],
  ['2026-11', '2026-11-20', '2026-11-21'],
  ['2026-11', '2026-11-21', '2026-11-28'],
  ['2026-11', '2026-11-28', null],
])('the Saturday to offer in %s on %s is %s', (month, today, saturday) => {
  expect(saturdayIn(month, today)).toBe(saturday);
});
