import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { naismith, onFoot } from '../../server/calc/pace.js';

describe('time on foot', () => {
  it('on the flat is the miles at the pace', () => {
    expect(onFoot(8 * METRES_PER_MILE, 0, 24)).toBeCloseTo(8 * 24 * 60, 6);
    expect(onFoot(8 * METRES_PER_MILE, 0, 15)).toBeCloseTo(8 * 15 * 60, 6);
    expect(onFoot(0, 0, 24)).toBe(0);
  });

  it('adds an hour for 600 m of climb, whatever the pace', () => {
    expect(onFoot(8 * METRES_PER_MILE, 600, 24) - onFoot(8 * METRES_PER_MILE, 0, 24)).toBeCloseTo(3600, 6);
    expect(onFoot(0, 150, 15)).toBe(900);
  });

  it("at Naismith's own pace is Naismith's time", () => {
    const minutesPerMile = (METRES_PER_MILE / 5000) * 60;
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 80_000 }), fc.integer({ min: 0, max: 4000 }), (metres, ascent) => {
        expect(onFoot(metres, ascent, minutesPerMile)).toBeCloseTo(naismith(metres, ascent), 6);
      }),
    );
  });
});
