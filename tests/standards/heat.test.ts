import { describe, expect, it } from 'vitest';
import { heatCategory, heatIndex, rothfusz, windChill } from '../../server/calc/heat.js';

// Source: US National Weather Service, heat index chart (read). The chart leaves the high-humidity adjustment out.
describe('the heat index chart, against the regression without its adjustments', () => {
  it.each([
    [80, 40, 80],
    [82, 60, 84],
    [88, 70, 100],
    [90, 60, 100],
    [94, 50, 103],
    [96, 50, 108],
    [96, 65, 121],
    [100, 50, 118],
    [104, 40, 119],
    [110, 40, 136],
    [86, 100, 112],
    [90, 100, 132],
  ])('%d °F at %d per cent is %d °F', (tempF, humidity, index) => {
    expect(Math.round(rothfusz(tempF, humidity))).toBe(index);
  });
});

// The same chart: away from the adjustments and the simple form, the index is what it shows.
describe('the heat index chart, against the index', () => {
  it.each([
    [88, 70, 100],
    [94, 50, 103],
    [96, 65, 121],
    [110, 40, 136],
    [90, 100, 132],
  ])('%d °F at %d per cent is %d °F', (tempF, humidity, index) => {
    expect(Math.round(heatIndex(tempF, humidity))).toBe(index);
  });
});

// Source: US National Weather Service, Weather Prediction Center, "The Heat Index Equation" (read); values worked out from it (computed).
describe('the heat index equation', () => {
  it.each([
    ['very dry: less', 95, 10, 89.45],
    ['very dry and hot: less', 110, 10, 104.39],
    ['very damp: more', 82, 95, 93.97],
    ['the simple form', 75, 50, 74.55],
    ['the simple form, cooler', 70, 50, 69.05],
  ])('%s: %d °F at %d per cent is %d °F', (_, tempF, humidity, index) => {
    expect(heatIndex(tempF, humidity)).toBeCloseTo(index, 2);
  });
});

// Source: US National Weather Service, heat index categories, lower bounds included.
describe('the heat categories at their bounds', () => {
  it.each([
    [79.99, null],
    [80, 'Caution'],
    [89.99, 'Caution'],
    [90, 'Extreme Caution'],
    [102.99, 'Extreme Caution'],
    [103, 'Danger'],
    [124.99, 'Danger'],
    [125, 'Extreme Danger'],
  ])('%d °F: %s', (index, category) => {
    expect(heatCategory(index)).toBe(category);
  });
});

// Source: US National Weather Service, wind chill chart of 2001 (read).
describe('the wind chill chart', () => {
  it.each([
    [35, 5, 31],
    [30, 10, 21],
    [25, 15, 13],
    [20, 20, 4],
    [0, 15, -19],
    [-10, 40, -43],
    [-20, 50, -60],
  ])('%d °F at %d mph is %d °F', (tempF, mph, chill) => {
    expect(Math.round(windChill(tempF, mph))).toBe(chill);
  });

  // The formula holds for T ≤ 50 °F and V > 3 mph (the same source).
  it.each([
    ['over 50 °F', 50.01, 30],
    ['up to 3 mph', 20, 3],
    ['in still air', -20, 0],
  ])('has no chill %s', (_, tempF, mph) => {
    expect(windChill(tempF, mph)).toBe(tempF);
  });

  it('has a chill at 50 °F, and just over 3 mph', () => {
    expect(windChill(50, 20)).toBeLessThan(45);
    expect(windChill(20, 3.01)).toBeLessThan(20);
  });
});
