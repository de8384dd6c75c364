import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { toblerSpeed } from '../../server/calc/pace.js';
import { descents, effortAt, type Profile, profileOf } from '../../server/calc/profile.js';

/** A way with a point every 10 m. */
function along(lengthMetres: number): number[] {
  return Array.from({ length: lengthMetres / 10 + 1 }, (_, index) => index * 10);
}

/** A way with a steady slope. */
function sloped(lengthMetres: number, slope: number): Profile {
  const metres = along(lengthMetres);
  return profile(
    metres,
    metres.map((at) => 500 + at * slope),
    lengthMetres,
  );
}

function profile(alongs: number[], heights: (number | null)[], lengthMetres: number): Profile {
  const made = profileOf(alongs, heights, lengthMetres);
  if (!made) throw new Error('no profile');
  return made;
}

describe('a profile', () => {
  it('goes from the start to the end in steps of some 100 m', () => {
    const made = sloped(1040, 0.1);
    expect(made.elevations).toHaveLength(11);
    expect(made.stepMetres).toBe(104);
    expect(made.elevations[0]).toBe(500);
    expect(made.elevations.at(-1)).toBe(604);
    expect(made.elevations[5]).toBe(552);
  });

  it('has at most 600 steps, at least its two ends, and each to a tenth', () => {
    expect(sloped(200_000, 0.001).elevations).toHaveLength(601);
    expect(sloped(30, 0.1)).toEqual({ stepMetres: 30, elevations: [500, 503] });
    expect(sloped(1000, 0.12345).elevations.every((height) => height === Number(height.toFixed(1)))).toBe(true);
  });

  it('smooths what wobbles from point to point', () => {
    const metres = along(1000);
    const { elevations } = profile(
      metres,
      metres.map((_, index) => 100 + (index % 2) * 4),
      1000,
    );
    for (const height of elevations.slice(1, -1)) expect(Math.abs(height - 102)).toBeLessThan(0.5);
  });

  it('weighs the way and not its points', () => {
    const heights = (at: number) => (at <= 500 ? 100 : 100 + (at - 500) * 0.2);
    const sparse = [0, 500, 1000];
    const dense = [...along(500), 1000];
    expect(profile(dense, dense.map(heights), 1000)).toEqual(profile(sparse, sparse.map(heights), 1000));
  });

  it('lays missing heights between those known, and goes on level beyond the last', () => {
    const made = profile([0, 100, 200, 300, 400, 500], [null, 110, null, 130, 140, null], 500);
    expect(made.elevations[0]).toBe(110);
    expect(made.elevations[2]).toBe(120);
    expect(made.elevations[5]).toBe(140);
  });

  it('is none where under half of the points have a height, or the way has no length', () => {
    expect(profileOf([0, 100, 200, 300], [1, 2, null, null], 300)).not.toBeNull();
    expect(profileOf([0, 100, 200, 300, 400], [1, 2, null, null, null], 400)).toBeNull();
    expect(profileOf([0, 100], [1, null], 100)).toBeNull();
    expect(profileOf([0, 0], [1, 2], 0)).toBeNull();
    expect(profileOf([], [], 0)).toBeNull();
  });
});

describe('effort', () => {
  const anyProfile = fc.record({
    stepMetres: fc.double({ min: 20, max: 200, noNaN: true }),
    elevations: fc.array(fc.double({ min: 0, max: 300, noNaN: true }), { minLength: 2, maxLength: 50 }),
  });

  it('of a flat way is its length, and of a part of it that part', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), fc.double({ min: 0, max: 1, noNaN: true }), (tens, part) => {
        const flat = sloped(tens * 10, 0);
        expect(effortAt(flat, tens * 10)).toBeCloseTo(tens * 10, 6);
        expect(effortAt(flat, tens * 10 * part)).toBeCloseTo(tens * 10 * part, 6);
      }),
    );
  });

  it.each([-0.2, -0.05, 0.1])("on a steady slope of %d is the length by Tobler's speeds", (slope) => {
    expect(effortAt(sloped(2000, slope), 2000)).toBeCloseTo((2000 * toblerSpeed(0)) / toblerSpeed(slope), 3);
    expect(effortAt(sloped(2000, slope), 1020)).toBeCloseTo((1020 * toblerSpeed(0)) / toblerSpeed(slope), 3);
  });

  it('grows all the way', () => {
    fc.assert(
      fc.property(
        anyProfile,
        fc.double({ min: 0, max: 9000, noNaN: true }),
        fc.double({ min: 0.001, max: 500, noNaN: true }),
        (way, at, more) => {
          expect(effortAt(way, at + more)).toBeGreaterThan(effortAt(way, at));
        },
      ),
    );
  });

  it('is not made days long by heights that are wrong', () => {
    const jump = { stepMetres: 100, elevations: [200, 200, 900, 200, 200] };
    expect(effortAt(jump, 400)).toBeLessThan(2500);
    expect(effortAt(sloped(100, 0.7), 100)).toBeGreaterThan(effortAt(sloped(100, 0.69), 100));
    expect(effortAt(sloped(100, 0.71), 100)).toBe(effortAt(sloped(100, 0.7), 100));
  });

  it('before the start is none, and beyond the end goes on as on the flat', () => {
    const up = sloped(1000, 0.1);
    expect(effortAt(up, 0)).toBe(0);
    expect(effortAt(up, -5)).toBe(0);
    expect(effortAt(up, 1300)).toBeCloseTo(effortAt(up, 1000) + 300, 6);
  });
});

describe('descents', () => {
  const down = (degrees: number) => descents({ stepMetres: 100, elevations: [500, 500 - 100 * Math.tan((degrees * Math.PI) / 180)] });

  it.each([
    [4.99, 0, 0],
    [5.01, 8.767, 0],
    [11.99, 21.237, 0],
    [12.01, 0, 21.274],
    [-20, 0, 0],
  ])('on a slope of %d° down', (degrees, moderate, steep) => {
    expect(down(degrees).moderate).toBeCloseTo(moderate, 2);
    expect(down(degrees).steep).toBeCloseTo(steep, 2);
  });

  it('are summed', () => {
    expect(descents({ stepMetres: 100, elevations: [500, 490, 460, 470, 460, 459] })).toEqual({ moderate: 20, steep: 30 });
  });
});
