import { describe, expect, it } from 'vitest';
import { alongs, type Point } from '../../server/calc/route.js';
import { shapeOf } from '../../server/calc/shape.js';
import { jittered, legs } from './ways.js';

const square = (side: number): [number, number][] => [
  [0, side],
  [90, side],
  [180, side],
  [270, side],
];

function shape(...segments: Point[][]): string {
  return shapeOf(segments, alongs(segments));
}

describe('the shape of a way', () => {
  it('is one way where it ends elsewhere', () => {
    expect(shape(legs([[90, 3000]]))).toBe('one way');
    // Three sides of a square, and all but the last 400 m of the fourth.
    expect(shape(legs([...square(2000).slice(0, 3), [270, 1600]]))).toBe('one way');
  });

  it('is one way where it is so short that its ends are near anyway', () => {
    expect(
      shape(
        legs([
          [90, 40],
          [0, 20],
        ]),
      ),
    ).toBe('one way');
  });

  it('is a loop where it comes back another way', () => {
    expect(shape(legs(square(1000)))).toBe('loop');
    expect(shape(legs([...square(1000).slice(0, 3), [270, 960]]))).toBe('loop');
    // Where a kilometre comes to its end 40 m from its start, it has come back.
    expect(shape(legs([...square(250).slice(0, 3), [270, 210]]))).toBe('loop');
    expect(shape(jittered(legs(square(1000)), 8))).toBe('loop');
  });

  it('is out and back where it comes back as it went, with the jitter of a satellite fix', () => {
    const out = legs([
      [90, 1500],
      [20, 900],
    ]);
    const back = out.toReversed();
    expect(shape([...out, ...back])).toBe('out and back');
    expect(shape([...jittered(out, 8), ...jittered(back, 12)])).toBe('out and back');
    expect(shape(out, back)).toBe('out and back');
  });

  it('is a loop with a stalk, or walked twice: not out and back', () => {
    expect(shape(legs([[90, 500], ...square(1000), [270, 500]]))).toBe('loop');
    expect(shape(legs([...square(500), ...square(500)]))).toBe('loop');
  });

  it('is a loop for a little one, whose sides lie near each other', () => {
    expect(shape(legs(square(20), 5))).toBe('loop');
  });

  it('of nothing is one way', () => {
    expect(shape()).toBe('one way');
    expect(shape([])).toBe('one way');
    expect(shape([{ lat: 41, lon: -81, ele: null }])).toBe('one way');
  });
});
