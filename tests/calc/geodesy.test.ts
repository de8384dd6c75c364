import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bearing, distance, eastward, fromNorth, metresPerDegree, step } from '../../server/calc/geodesy.js';

describe('a distance', () => {
  it('is none to the place itself, however its longitude is written', () => {
    expect(distance(41, -81, 41, -81)).toBe(0);
    expect(distance(10, 180, 10, -180)).toBe(0);
    expect(distance(90, 0, 90, 120)).toBe(0);
  });

  it('goes the short way over the date line', () => {
    expect(distance(0, 179.9, 0, -179.9)).toBeCloseTo(distance(0, -0.1, 0, 0.1), 6);
  });

  it('to the other side of the earth is found', () => {
    // Half a meridian of WGS84: twice the quadrant of 10 001 965.729 m (NIMA TR8350.2).
    expect(distance(0, 0, 0.0, 180)).toBeCloseTo(2 * 10_001_965.729, 2);
  });
});

describe('a bearing', () => {
  it.each([
    ['north', 42, -81, 0],
    ['east', 41, -80.999, 90],
    ['south', 40, -81, 180],
    ['west', 41, -81.001, 270],
  ])('%s', (_, lat, lon, degrees) => {
    expect(bearing(41, -81, lat, lon)).toBeCloseTo(degrees, 2);
  });

  it('is never 360 and never under 0', () => {
    expect(bearing(41, -81, 41.1, -81.0000001)).toBeLessThan(360);
    expect(bearing(41, -81, 41.1, -81.0000001)).toBeGreaterThan(359);
    expect([-360, -90, 0, 360, 450].map(fromNorth)).toEqual([0, 270, 0, 0, 90]);
  });
});

describe('the nearer way round', () => {
  it.each([
    [179, -179, 2],
    [-179, 179, -2],
    [10, 30, 20],
    [0, 180, -180],
    [350, -350, 20],
  ])('from %d to %d is %d', (from, to, degrees) => {
    expect(eastward(from, to)).toBe(degrees);
  });
});

describe('the metres of a degree', () => {
  it.each([-80, -41, 0, 33, 60, 80])('at latitude %d are those of the geodesic', (lat) => {
    const metres = metresPerDegree(lat);
    expect(metres.lat * 0.002).toBeCloseTo(distance(lat - 0.001, 5, lat + 0.001, 5), 3);
    expect(metres.lon * 0.002).toBeCloseTo(distance(lat, 4.999, lat, 5.001), 3);
  });
});

describe('the length of a step', () => {
  const part = fc.double({ min: -0.0025, max: 0.0025, noNaN: true });

  it('is the distance on the ellipsoid, to a hundred millionth part or a thousandth of a millimetre', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -89, max: 89, noNaN: true }),
        fc.double({ min: -180, max: 180, noNaN: true }),
        part,
        part,
        (lat, lon, north, east) => {
          const exact = distance(lat, lon, lat + north, lon + east);
          expect(Math.abs(step(lat, lon, lat + north, lon + east) - exact)).toBeLessThan(Math.max(1e-6, exact * 1e-8));
        },
      ),
      { numRuns: 2000 },
    );
  });

  it('is the same both ways, and over the date line', () => {
    expect(step(50, 179.9995, 50.001, -179.9995)).toBeCloseTo(distance(50, 179.9995, 50.001, -179.9995), 6);
    expect(step(50, 10, 50.001, 10.001)).toBe(step(50.001, 10.001, 50, 10));
  });
});
