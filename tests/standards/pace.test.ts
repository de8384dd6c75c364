import { describe, expect, it } from 'vitest';
import { METRES_PER_FOOT, METRES_PER_MILE } from '../../server/calc/measure.js';
import { langmuir, naismith, onFoot, toblerSpeed } from '../../server/calc/pace.js';

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

// Source: the distance equivalence of Naismith's rule, one of climb to eight of distance (read): 20 km with 1.6 km of climb are 32.8 km.
describe("Naismith's rule as distance, within a minute", () => {
  it.each([
    ['6 h 34 min at 5 km/h', 5, 6 * HOUR + 34 * MINUTE],
    ['4 h 06 min at 8 km/h', 8, 4 * HOUR + 6 * MINUTE],
  ])('%s', (_, kmh, seconds) => {
    const secondsPerMetre = 3.6 / kmh;
    // An hour for 600 m at 5 km/h makes a metre of climb worth 8⅓ of distance; the round figure is 8.
    const equivalent = 20_000 + 1600 * 8;
    expect(Math.abs(onFoot(equivalent, 0, (METRES_PER_MILE * secondsPerMetre) / MINUTE) - seconds)).toBeLessThan(MINUTE);
  });
});

// Source: E. Langmuir, Mountaincraft and Leadership, 1984 (read): less ten minutes for 300 m down on 5–12°, ten more for 300 m down steeper.
describe("Langmuir's corrections", () => {
  it.each([
    ['144 + 45 − 10 + 5 minutes (computed)', 12_000, 450, 300, 150, 184],
    ['300 m down at 5–12° save ten minutes', 5000, 0, 300, 0, 50],
    ['300 m down steeper cost ten minutes', 5000, 0, 0, 300, 70],
    ["without descent: Naismith's rule", 5000, 600, 0, 0, 120],
  ])('%s', (_, metres, ascent, moderate, steep, minutes) => {
    expect(langmuir(metres, ascent, moderate, steep)).toBeCloseTo(minutes * MINUTE, 6);
  });
});

// Source: W. Tobler, NCGIA Technical Report 93-1, 1993 (read): 6·exp(−3.5·|S + 0.05|) km/h; values worked out from it (computed).
describe("Tobler's function", () => {
  it.each([
    [0, 5.0367],
    [-0.05, 6.0],
    [0.05, 4.2281],
    [-0.1, 5.0367],
    [0.1, 3.5493],
    [0.2, 2.5012],
  ])('on a slope of %d is %d km/h', (slope, kmh) => {
    expect(toblerSpeed(slope)).toBeCloseTo(kmh, 4);
  });
});
