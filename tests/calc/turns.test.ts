import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { alongs, type Point } from '../../server/calc/route.js';
import { type Turn, turns } from '../../server/calc/turns.js';
import { anyWay, jittered, legs } from './ways.js';

function turnsOf(...segments: Point[][]): Turn[] {
  return turns(segments, alongs(segments));
}

const BENT: [number, number][] = [
  [90, 500],
  [0, 400],
  [300, 300],
  [120, 300],
];

/** Each turn as metres (to 20), bearing and angle (to 10 degrees). */
function rough(found: Turn[]): number[][] {
  return found.map(({ metres, bearing, angle }) => [
    Math.round(metres / 20) * 20,
    (Math.round(bearing / 10) * 10) % 360,
    Math.round(Math.abs(angle) / 10) * 10 * Math.sign(angle),
  ]);
}

describe('the turns of a way', () => {
  it('begin with the set-off, and name the clear ones with their bearing, right positive', () => {
    const found = turnsOf(legs(BENT));
    expect(found[0]).toMatchObject({ metres: 0, angle: 0 });
    const [setOff, left, half, back] = rough(found);
    expect(setOff).toEqual([0, 90, 0]);
    expect(left).toEqual([500, 0, -90]);
    expect(half).toEqual([900, 300, -60]);
    expect(back?.slice(0, 2)).toEqual([1200, 120]);
    expect(Math.abs(back?.[2] ?? 0)).toBe(180);
    expect(found).toHaveLength(4);
  });

  it('are the same with few points, and with the jitter of a satellite fix', () => {
    const few = rough(turnsOf(legs(BENT, 100)));
    expect(few.map(([metres]) => metres)).toEqual([0, 500, 900, 1200]);
    const strayed = turnsOf(jittered(legs(BENT, 5), 6));
    expect(strayed.slice(0, 3).map(({ angle }) => Math.round(angle / 45))).toEqual([0, -2, -1]);
    expect(Math.abs(strayed[3]?.angle ?? 0)).toBeGreaterThan(135);
    expect(strayed.map(({ bearing }) => (Math.round(bearing / 30) * 30) % 360)).toEqual([90, 0, 300, 120]);
  });

  it('are none on a straight, whatever its jitter', () => {
    expect(turnsOf(jittered(legs([[45, 3000]], 3), 8))).toHaveLength(1);
  });

  it('are 45° or more', () => {
    const at = (angle: number) =>
      turnsOf(
        legs([
          [90, 300],
          [90 + angle, 300],
        ]),
      );
    expect(at(44)).toHaveLength(1);
    expect(at(46)).toHaveLength(2);
    expect(at(-46)[1]?.angle).toBeLessThan(-45);
  });

  it('take the sharper one of two within 40 m', () => {
    const at = (metres: number) =>
      turnsOf(
        legs(
          [
            [0, 300],
            [60, metres],
            [150, 300],
          ],
          5,
        ),
      ).slice(1);
    expect(at(35)).toHaveLength(1);
    expect(at(35)[0]?.angle).toBeGreaterThan(80);
    expect(at(60)).toHaveLength(2);
  });

  it('cross no gap', () => {
    const second = legs([[0, 500]]).map((point) => ({ ...point, lon: point.lon + 0.01 }));
    expect(turnsOf(legs([[90, 500]]), second)).toHaveLength(1);
    expect(turnsOf([], legs([[90, 500]]))[0]?.bearing).toBeCloseTo(90, 0);
  });

  it('of no way are none', () => {
    expect(turnsOf()).toEqual([]);
    expect(turnsOf([{ lat: 41, lon: -81, ele: null }])).toEqual([]);
    expect(turnsOf(legs([[90, 100]]).map(() => ({ lat: 41, lon: -81, ele: null })))).toEqual([]);
  });

  it('are at most 200, at least 40 m apart, in their order, their figures in range', () => {
    const stairs = Array.from({ length: 300 }, (_, index): [number, number] => [(index % 2) * 90, 100]);
    expect(turnsOf(legs(stairs))).toHaveLength(200);
    fc.assert(
      fc.property(anyWay, (way) => {
        turnsOf(way).forEach(({ metres, bearing, angle }, index, all) => {
          expect(metres - (all[index - 1]?.metres ?? -40)).toBeGreaterThanOrEqual(40);
          expect(bearing >= 0 && bearing < 360).toBe(true);
          expect(index === 0 ? angle === 0 : Math.abs(angle) >= 45 && Math.abs(angle) <= 180).toBe(true);
        });
      }),
    );
  });
});
