import { describe, expect, it } from 'vitest';
import { CLIMB_THRESHOLD_METRES, climb } from '../../server/calc/route.js';

// Made up to show how noise adds climb; the figures are worked out by hand (computed).
const NOISY = [100, 102, 100, 102, 100, 102, 100, 120, 118, 121, 119, 140];

describe('a noisy series that rises by 40 m', () => {
  it('has 50 m of climb if every rise counts', () => {
    expect(climb(NOISY, 0)).toEqual({ ascent: 50, descent: 10 });
  });

  it.each([3, 5, 10])('has 40 m of climb with a threshold of %d m', (threshold) => {
    expect(climb(NOISY, threshold)).toEqual({ ascent: 40, descent: 0 });
  });

  it('has 40 m of climb with the threshold in use', () => {
    expect(climb(NOISY, CLIMB_THRESHOLD_METRES).ascent).toBe(40);
  });
});
