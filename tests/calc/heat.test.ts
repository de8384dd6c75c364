import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { heatIndex, rothfusz, windChill } from '../../server/calc/heat.js';

describe('the heat index', () => {
  it('uses the full form from a mean of 80 °F of simple form and temperature on', () => {
    // At 40 % the mean of the two reaches 80 between 80.1 and 80.2 °F.
    const simple = (tempF: number) => 0.5 * (tempF + 61 + (tempF - 68) * 1.2 + 40 * 0.094);
    expect(heatIndex(80.1, 40)).toBe(simple(80.1));
    expect(heatIndex(80.2, 40)).toBe(rothfusz(80.2, 40));
  });

  it.each([
    ['14 %: no longer dry', 95, 14, true],
    ['12.9 %: dry', 95, 12.9, false],
    ['dry over 112 °F', 112.1, 10, true],
    ['dry at 111 °F', 111, 10, false],
    ['84 %: not yet damp', 83, 84, true],
    ['86 %: damp', 83, 86, false],
    ['damp at 88 °F', 88, 95, true],
    ['damp at 86.9 °F', 86.9, 95, false],
  ])('is the regression alone, or not: %s', (_, tempF, humidity, alone) => {
    expect(heatIndex(tempF, humidity) === rothfusz(tempF, humidity)).toBe(alone);
  });

  it('is a number for any weather', () => {
    fc.assert(
      fc.property(fc.integer({ min: -60, max: 140 }), fc.integer({ min: 0, max: 100 }), (tempF, humidity) => {
        expect(Number.isFinite(heatIndex(tempF, humidity))).toBe(true);
      }),
    );
  });
});

describe('wind chill', () => {
  it('is colder than the air in a wind at walking height, and colder in a stronger one', () => {
    fc.assert(
      fc.property(fc.integer({ min: -40, max: 40 }), fc.integer({ min: 5, max: 60 }), (tempF, mph) => {
        expect(windChill(tempF, mph)).toBeLessThan(tempF);
        expect(windChill(tempF, mph + 5)).toBeLessThan(windChill(tempF, mph));
      }),
    );
  });
});
