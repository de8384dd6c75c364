import fc from 'fast-check';
import geographiclib from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import { distance } from '../../server/calc/geodesy.js';
import { alongs, CLIMB_THRESHOLD_METRES, climb, type Point } from '../../server/calc/route.js';
import { anyWay, heightsOf, legs } from './ways.js';

const threshold = fc.constantFrom(0, 3, CLIMB_THRESHOLD_METRES, 10);
const share = fc.double({ min: 0, max: 1, noNaN: true });
const pick = fc.nat({ max: 1000 });

function lengthOf(segments: Point[][]): number {
  return alongs(segments).flat().at(-1) ?? 0;
}

/** The point at a share of the geodesic between two others. */
function between(from: Point, to: Point, part: number): Point {
  const line = geographiclib.Geodesic.WGS84.InverseLine(from.lat, from.lon, to.lat, to.lon);
  const { lat2 = from.lat, lon2 = from.lon } = line.Position(part * distance(from.lat, from.lon, to.lat, to.lon));
  const [low, high] = [from.ele ?? 0, to.ele ?? 0];
  return { lat: lat2, lon: lon2, ele: low + (high - low) * part };
}

/** A way, and the same with a point laid between two of its points. */
const withPoint = fc.tuple(anyWay, pick, share).map(([way, which, part]) => {
  const index = 1 + (which % (way.length - 1));
  const [from, to] = [way[index - 1] as Point, way[index] as Point];
  return { way, laid: [...way.slice(0, index), between(from, to, part), ...way.slice(index)], index };
});

function isClose(a: number, b: number): boolean {
  return Math.abs(a - b) <= 1e-6 * Math.max(1, Math.abs(a));
}

describe('a point laid between two others', () => {
  it('changes no length', () => {
    fc.assert(fc.property(withPoint, ({ way, laid }) => isClose(lengthOf([way]), lengthOf([laid]))));
  });

  it('changes no climb, and no descent', () => {
    fc.assert(
      fc.property(withPoint, threshold, ({ way, laid }, metres) => {
        const [before, after] = [climb(heightsOf(way), metres), climb(heightsOf(laid), metres)];
        return isClose(before.ascent, after.ascent) && isClose(before.descent, after.descent);
      }),
    );
  });
});

describe('a segment split in two at a point', () => {
  it('has the same length and the same climb, whether the point is new or was there', () => {
    fc.assert(
      fc.property(withPoint, threshold, ({ way, laid, index }, metres) => {
        for (const whole of [way, laid]) {
          const parts = [whole.slice(0, index + 1), whole.slice(index)];
          const [before, after] = [climb(heightsOf(way), metres), climb(heightsOf(parts.flat()), metres)];
          expect(isClose(lengthOf([way]), lengthOf(parts))).toBe(true);
          expect(isClose(before.ascent, after.ascent)).toBe(true);
          expect(isClose(before.descent, after.descent)).toBe(true);
        }
      }),
    );
  });
});

describe('the way back', () => {
  it('is as long, and its climb is the descent', () => {
    fc.assert(
      fc.property(anyWay, threshold, (way, metres) => {
        const there = climb(heightsOf(way), metres);
        const back = climb(heightsOf(way).reverse(), metres);
        expect(isClose(lengthOf([way]), lengthOf([way.toReversed()]))).toBe(true);
        expect(back.ascent).toBeCloseTo(there.descent, 6);
        expect(back.descent).toBeCloseTo(there.ascent, 6);
      }),
    );
  });
});

describe('climb', () => {
  it('less descent is what the way rises, to the threshold at each end; and it falls as the threshold grows', () => {
    fc.assert(
      fc.property(anyWay, threshold, (way, metres) => {
        const heights = heightsOf(way);
        const { ascent, descent } = climb(heights, metres);
        const rise = (heights.at(-1) ?? 0) - (heights[0] ?? 0);
        expect(Math.abs(ascent - descent - rise)).toBeLessThanOrEqual(2 * metres + 1e-9);
        expect(climb(heights, metres + 2).ascent).toBeLessThanOrEqual(ascent + 1e-9);
      }),
    );
  });

  it.each([
    ['exactly the threshold: counts', [100, 105], { ascent: 5, descent: 0 }],
    ['a hair less: is noise', [100, 104.9], { ascent: 0, descent: 0 }],
    ['in small steps: counts once it is enough', [100, 102, 104, 106], { ascent: 6, descent: 0 }],
    ['up and down a hill', [100, 120, 100], { ascent: 20, descent: 20 }],
    ['a dip under the threshold on the way up', [100, 120, 117, 140], { ascent: 40, descent: 0 }],
    ['a dip of the threshold on the way up', [100, 120, 115, 140], { ascent: 45, descent: 5 }],
    ['a wobble before the hill starts from its lowest', [102, 100, 103, 120], { ascent: 20, descent: 0 }],
    ['level', [100, 100, 100], { ascent: 0, descent: 0 }],
    ['one height', [100], { ascent: 0, descent: 0 }],
    ['none', [], { ascent: 0, descent: 0 }],
  ])('%s', (_, heights, gone) => {
    expect(climb(heights, 5)).toEqual(gone);
  });
});

describe('metres along', () => {
  it('have no distance across a gap', () => {
    const [first, second] = [legs([[90, 100]], 50), legs([[0, 100]], 50).map((point) => ({ ...point, lat: point.lat + 1 }))];
    const along = alongs([first, [], second]);
    expect(along.map((segment) => segment.length)).toEqual([3, 0, 3]);
    expect(along[2]?.[0]).toBe(along[0]?.[2]);
    expect(along[2]?.[2]).toBeCloseTo(lengthOf([first]) + lengthOf([second]), 6);
    expect(alongs([])).toEqual([]);
  });
});
