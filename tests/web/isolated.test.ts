import { expect, it } from 'vitest';
import { isolated, names } from '../../server/web/isolated.js';

it('sets apart a name that is written from right to left, and leaves others alone', () => {
  expect(isolated('Ana Ferreira')).toBe('Ana Ferreira');
  expect(isolated('דוד בן־גוריון')).toBe('\u2068דוד בן־גוריון\u2069');
  expect(names(['Ana', 'عائشة', 'Ben'])).toBe('Ana, \u2068عائشة\u2069, Ben');
});
