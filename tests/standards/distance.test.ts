import { describe, expect, it } from 'vitest';
import { distance } from '../../server/calc/geodesy.js';

const MILLIMETRE = 0.001;

function degrees(sign: 1 | -1, whole: number, minutes: number, seconds: number): number {
  return sign * (whole + minutes / 60 + seconds / 3600);
}

// Source: GeographicLib's test set for geodesics on WGS84, MIT licence (read).
describe('the distances of the GeographicLib test set', () => {
  it.each([
    [35.60777, -139.44815, -11.17491, -69.95921, 8935244.56048183],
    [55.52454, 106.05087, 77.03196, 197.18234, 4105086.17139244],
    [54.1589, 15.3872, 54.1591, 15.3877, 39.527686385],
  ])('%d %d to %d %d: %d m, to a millimetre', (lat1, lon1, lat2, lon2, metres) => {
    expect(Math.abs(distance(lat1, lon1, lat2, lon2) - metres)).toBeLessThan(MILLIMETRE);
    expect(Math.abs(distance(lat2, lon2, lat1, lon1) - metres)).toBeLessThan(MILLIMETRE);
  });
});

// Source: Geoscience Australia, the worked example Flinders Peak to Buninyong; it is on GRS80, whose radius is that of WGS84.
describe('the distance that Geoscience Australia works out', () => {
  it('from Flinders Peak to Buninyong is 54 972.271 m', () => {
    const from = [degrees(-1, 37, 57, 3.7203), degrees(1, 144, 25, 29.5244)] as const;
    const to = [degrees(-1, 37, 39, 10.1561), degrees(1, 143, 55, 35.3839)] as const;
    expect(Math.abs(distance(...from, ...to) - 54972.271)).toBeLessThan(MILLIMETRE);
  });
});
