import { describe, expect, it } from 'vitest';
import { METRES_PER_FOOT, METRES_PER_MILE } from '../../server/calc/measure.js';
import { naismith } from '../../server/calc/pace.js';

const HOUR = 3600;
const MINUTE = 60;

// Source: W. W. Naismith, Scottish Mountaineering Club Journal II, 1892, with its metric form: an hour for 5 km, an hour for 600 m climbed (read).
describe("Naismith's rule, metric", () => {
  it.each([
    ['5 km on the flat: an hour', 5000, 0, HOUR],
    ['600 m of climb: an hour', 0, 600, HOUR],
    ['5 km and 600 m: two hours', 5000, 600, 2 * HOUR],
    ['a kilometre on the flat: 12 minutes', 1000, 0, 12 * MINUTE],
    ['10 m of climb: a minute', 0, 10, MINUTE],
    // Langmuir 1984, the part before his corrections: 144 + 45 minutes (computed).
    ['12 km and 450 m: 189 minutes', 12_000, 450, 189 * MINUTE],
  ])('%s', (_, metres, ascent, seconds) => {
    expect(naismith(metres, ascent)).toBeCloseTo(seconds, 6);
  });
});

// The same rule in other round figures: 3 miles are 4.83 km and 2000 ft are 610 m, so each lies within two per cent of the metric one.
describe("Naismith's rule, in its other forms, within 2 %", () => {
  it.each([
    ['ten miles and 6300 ft: 6.483 h by the formula (computed)', 10 * METRES_PER_MILE, 6300 * METRES_PER_FOOT, 6.483 * HOUR],
    [
      'ten miles and 6300 ft: six and a half hours in his own words (from memory)',
      10 * METRES_PER_MILE,
      6300 * METRES_PER_FOOT,
      6.5 * HOUR,
    ],
    ['20 km and 1.6 km of climb, one to eight: 6 h 34 min at 5 km/h (read)', 20_000, 1600, 6 * HOUR + 34 * MINUTE],
  ])('%s', (_, metres, ascent, seconds) => {
    expect(Math.abs(naismith(metres, ascent) / seconds - 1)).toBeLessThan(0.02);
  });
});
