import { expect, it } from 'vitest';
import { cell } from '../../server/coverage/rules.js';

it.each([
  [0, 2, { met: 0, needed: 2, fill: 'none' }],
  [1, 2, { met: 1, needed: 2, fill: 'part' }],
  [2, 2, { met: 2, needed: 2, fill: 'full' }],
  [9, 2, { met: 2, needed: 2, fill: 'full' }],
  [0, 0, { met: 0, needed: 0, fill: 'full' }],
] as const)('%i walks against a floor of %i: %o', (walks, floor, expected) => {
  expect(cell(walks, floor)).toEqual(expected);
});
