import { gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { distance } from '../../server/calc/geodesy.js';
import { measure } from '../../server/gpx/measure.js';
import { readGpx } from '../../server/gpx/read.js';
import { reducedLine } from '../../server/gpx/reduce.js';
import { roundGpx } from '../support/gpx-file.js';
import { gpx, type PointOf, readable, track, winding } from './files.js';

function measured(text: string) {
  return measure(readable(text));
}

describe('what is kept of a way', () => {
  it('is its length, climb, shape, line, profile, turns, places and file', () => {
    const route = measured(roundGpx().toString());
    expect(route).toMatchObject({ ascentMetres: 100, descentMetres: 100, shape: 'loop', pointCount: 200, lineErrorMetres: 5 });
    expect(route.lengthMetres).toBeGreaterThan(7900);
    expect(route.lengthMetres).toBeLessThan(8100);
    expect(route.profile?.elevations.length).toBe(Math.round(route.lengthMetres / 100) + 1);
    expect(route.turns[0]).toMatchObject({ metres: 0, angle: 0 });
    expect(route.waypoints).toEqual([
      { name: 'Lower lock', kinds: ['toilets'], metres: expect.closeTo(route.lengthMetres / 3, -2), offMetres: 0 },
      { name: 'Kiln Lane shop', kinds: ['shop'], metres: expect.closeTo((route.lengthMetres * 2) / 3, -2), offMetres: 0 },
    ]);
    expect(route.line[0]?.at(-1)?.[2]).toBe(Math.round(route.lengthMetres));
  });

  it('is the same of the clean file', () => {
    const route = measured(roundGpx().toString());
    const again = readGpx(gunzipSync(route.gpx));
    expect('fault' in again ? again : measure(again)).toEqual(route);
  });

  it('has neither climb nor profile without heights, or with few', () => {
    const flat: PointOf[] = Array.from({ length: 40 }, (_, index) => [41 + index / 1000, -85]);
    expect(measured(gpx(track(flat)))).toMatchObject({ ascentMetres: null, descentMetres: null, profile: null });
    const few = flat.map(([lat, lon], index): PointOf => (index < 3 ? [lat, lon, index * 50] : [lat, lon]));
    expect(measured(gpx(track(few)))).toMatchObject({ ascentMetres: null, descentMetres: null, profile: null });
  });

  it('has no length across a gap, and its climb', () => {
    const low: PointOf[] = [
      [41, -85, 100],
      [41.01, -85, 100],
    ];
    const high: PointOf[] = [
      [41.02, -85, 140],
      [41.03, -85, 140],
    ];
    const route = measured(gpx(track(low) + track(high)));
    expect(route.lengthMetres).toBeCloseTo(distance(41, -85, 41.01, -85) + distance(41.02, -85, 41.03, -85), 6);
    expect(route).toMatchObject({ ascentMetres: 40, descentMetres: 0 });
    expect(route.line).toHaveLength(2);
  });
});

describe('the reduced line', () => {
  const alongOf = (segments: { lat: number; lon: number }[][]) => segments.map((points) => points.map((_, index) => index));

  it('has 400 vertices at most, no point further from it than it says', () => {
    const { segments } = readable(winding(40_000));
    const { line, errorMetres } = reducedLine(segments, alongOf(segments));
    expect(line.flat().length).toBeLessThanOrEqual(400);
    expect(errorMetres).toBeGreaterThan(5);
    const vertices = line[0] ?? [];
    let worst = 0;
    for (const [index, point] of (segments[0] ?? []).entries()) {
      const after = vertices.findIndex((vertex) => vertex[2] >= index);
      worst = Math.max(worst, off(point, vertices[Math.max(0, after - 1)] ?? [0, 0, 0], vertices[after] ?? [0, 0, 0]));
    }
    expect(worst).toBeGreaterThan(errorMetres / 4);
    expect(worst).toBeLessThanOrEqual(errorMetres);
  });

  it('closes the narrow gaps of a way of very many pieces', () => {
    const pieces = Array.from({ length: 5000 }, (_, index) => [
      { lat: 41 + index * 1e-4, lon: -85 + (index % 2) * 1e-5, ele: null },
      { lat: 41 + index * 1e-4 + 5e-5, lon: -85, ele: null },
    ]);
    const { line, errorMetres } = reducedLine(pieces, alongOf(pieces));
    expect(errorMetres).toBe(10);
    expect(line).toHaveLength(1);
  });

  it('ends, however far the pieces lie apart', () => {
    const pieces = Array.from({ length: 300 }, (_, index) => [
      { lat: index % 2 ? 80 : -80, lon: index, ele: null },
      { lat: index % 2 ? 80.1 : -80.1, lon: index, ele: null },
    ]);
    expect(reducedLine(pieces, alongOf(pieces)).line.flat().length).toBeLessThanOrEqual(400);
  });

  /** Metres from the straight between two vertices, on a plane around the point. */
  function off(point: { lat: number; lon: number }, from: readonly number[], to: readonly number[]): number {
    const east = distance(point.lat, 0, point.lat, 1e-3) * 1e3;
    const flat = (place: readonly number[]) => [((place[1] ?? 0) - point.lon) * east, ((place[0] ?? 0) - point.lat) * 111_100] as const;
    const [[x0, y0], [x1, y1]] = [flat(from), flat(to)];
    const square = (x1 - x0) ** 2 + (y1 - y0) ** 2;
    const part = square === 0 ? 0 : Math.min(1, Math.max(0, -(x0 * (x1 - x0) + y0 * (y1 - y0)) / square));
    return Math.hypot(x0 + part * (x1 - x0), y0 + part * (y1 - y0));
  }
});
