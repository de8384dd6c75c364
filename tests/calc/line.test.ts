import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { distance } from '../../server/calc/geodesy.js';
import { simplify } from '../../server/calc/line.js';
import { anyWay, legs } from './ways.js';

interface Place {
  lat: number;
  lon: number;
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** How far a place lies from the straight between two others, by asking the geodesic again and again: nothing in common with ours. */
function metresOff(place: Place, from: Place, to: Place): number {
  const off = (share: number) =>
    distance(place.lat, place.lon, from.lat + (to.lat - from.lat) * share, from.lon + (to.lon - from.lon) * share);
  let [low, high] = [0, 1];
  for (let step = 0; step < 60; step++) {
    const [left, right] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    if (off(left) < off(right)) high = right;
    else low = left;
  }
  return Math.min(off(0), off(1), off((low + high) / 2));
}

function worst(points: Place[], kept: number[]): number {
  let most = 0;
  kept.slice(1).forEach((to, index) => {
    const from = kept[index] ?? 0;
    for (let point = from + 1; point < to; point++)
      most = Math.max(most, metresOff(points[point] as Place, points[from] as Place, points[to] as Place));
  });
  return most;
}

const MANY = 100_000;

describe('a reduced line', () => {
  it('leaves out no point that lies further from it than the tolerance', () => {
    fc.assert(
      fc.property(anyWay, fc.constantFrom(0, 1, 5, 50, 400), (way, tolerance) => {
        const kept = simplify(way, tolerance);
        expect(kept[0]).toBe(0);
        expect(kept.at(-1)).toBe(way.length - 1);
        expect(kept).toEqual([...new Set(kept)].sort((a, b) => a - b));
        // Distances are measured on the flat around each point: good to a ten-thousandth.
        expect(worst(way, kept)).toBeLessThanOrEqual(tolerance * 1.0001 + 0.001);
      }),
    );
  });

  it('keeps the corners and nothing of the straights', () => {
    const way = legs([
      [90, 500],
      [0, 500],
      [90, 500],
    ]);
    expect(simplify(way, 5)).toEqual([0, 50, 100, 150]);
  });

  it('keeps the far end of a way that comes back to its start', () => {
    const out = legs([[90, 500]]);
    expect(simplify([...out, ...out.toReversed()], 5)).toEqual([0, 50, 101]);
  });

  it('crosses the date line', () => {
    const way = [179.98, 179.99, -180, -179.99, -179.98].map((lon) => ({ lat: 10, lon }));
    expect(simplify(way, 1)).toEqual([0, 4]);
  });

  it('of two points, one or none is all of them', () => {
    expect(simplify(legs([[90, 10]]), 1000)).toEqual([0, 1]);
    expect(simplify([{ lat: 41, lon: -81 }], 5)).toEqual([0]);
    expect(simplify([], 5)).toEqual([]);
  });

  it('keeps the ends alone where the tolerance is wider than the way', () => {
    fc.assert(
      fc.property(anyWay, (way) => {
        expect(simplify(way, 1e7)).toEqual([0, way.length - 1]);
      }),
    );
  });

  // A spiral sheds one point at a time: split at the furthest alone, this takes minutes.
  it('of 100,000 points is quick, even of a spiral', { timeout: 5000 }, () => {
    const spiral = Array.from({ length: MANY }, (_, index) => ({
      lat: 41 + Math.cos(index / 3) * index * 1e-6,
      lon: -81 + Math.sin(index / 3) * index * 1e-6,
    }));
    expect(simplify(spiral, 1).length).toBeGreaterThan(MANY / 4);
    const shed = Array.from({ length: MANY }, (_, index) => ({ lat: 41 + (index % 2 ? 1 : -1) * (MANY - index) * 1e-6, lon: -81 }));
    expect(simplify(shed, 1).length).toBeGreaterThan(MANY / 4);
  });
});
