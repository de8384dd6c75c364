import { expect, it } from 'vitest';
import { betaDraw, chances, named } from '../../server/calc/draws.js';

const DRAWS = 20_000;

// Mean and variance of Beta(a, b) in closed form: a / (a + b) and ab / ((a + b)² (a + b + 1)).
it.each([
  [1, 1],
  [6, 2],
  [0.4, 3],
  [0.3, 0.2],
  [120, 40],
])('draws from Beta(%d, %d) have its mean, its variance, and stay between 0 and 1', (a, b) => {
  const chance = chances(7);
  const draws = Array.from({ length: DRAWS }, () => betaDraw(a, b, chance));
  const mean = draws.reduce((sum, one) => sum + one, 0) / DRAWS;
  const variance = draws.reduce((sum, one) => sum + (one - mean) ** 2, 0) / DRAWS;
  const [wantedMean, wantedVariance] = [a / (a + b), (a * b) / ((a + b) ** 2 * (a + b + 1))];
  // Four standard errors of the mean.
  expect(Math.abs(mean - wantedMean)).toBeLessThan(4 * Math.sqrt(wantedVariance / DRAWS));
  expect(variance / wantedVariance).toBeGreaterThan(0.94);
  expect(variance / wantedVariance).toBeLessThan(1.06);
  expect(draws.every((one) => one >= 0 && one <= 1)).toBe(true);
});

it('is certain at the ends, and never no number', () => {
  expect(betaDraw(0, 5, chances(1))).toBeLessThan(1e-9);
  expect(betaDraw(5, 0, chances(1))).toBeGreaterThan(1 - 1e-9);
  expect(betaDraw(0, 0, chances(1))).not.toBeNaN();
});

it('gives the same for the same names, spread evenly over names that lie close together', () => {
  expect(named(1, 2)).toBe(named(1, 2));
  expect(chances(5)()).toBe(chances(5)());
  const tenths = new Array<number>(10).fill(0);
  for (let run = 0; run < 100; run += 1)
    for (let id = 0; id < 100; id += 1) tenths[Math.floor(named(run, id) * 10)] = (tenths[Math.floor(named(run, id) * 10)] ?? 0) + 1;
  // Chi-square with 9 degrees of freedom: 27.9 in one case of a thousand.
  expect(tenths.reduce((sum, one) => sum + (one - 1000) ** 2 / 1000, 0)).toBeLessThan(27.9);
});
