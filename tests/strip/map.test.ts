import { describe, expect, test } from 'vitest';
import type { Shape } from '../../server/calc/route.js';
import { groupSettings } from '../../server/settings/rules.js';
import { type MapModel, routeMap } from '../../server/strip/map.js';
import type { Stop } from '../../server/walks/stops.js';
import { stopAt } from './walks.js';
import { circle, wayThrough } from './ways.js';

const settings = groupSettings.parse({});

function mapOf(
  corners: [number, number][],
  given: { shape?: Shape; stops?: Stop[]; distance?: number; at?: [number, number] } = {},
): MapModel {
  const line = wayThrough(corners, ...(given.at ?? []));
  const walk = { distanceMetres: given.distance ?? line.at(-1)?.[2] ?? 0, stops: given.stops ?? [] };
  const map = routeMap({ line: [line], lineErrorMetres: 5, shape: given.shape ?? 'one way' }, walk, settings);
  if (!map) throw new Error('nothing was drawn');
  return map;
}

describe('the route map', () => {
  test('keeps proportions, north on top', () => {
    const map = mapOf([
      [0, 0],
      [4000, 0],
      [4000, 2000],
    ]);
    const [start, finish] = map.marks;
    expect([start?.mark, finish?.mark]).toEqual(['end', 'flag']);
    expect([start?.x, finish?.x]).toEqual([24, 344]);
    expect((start?.y ?? 0) - (finish?.y ?? 0)).toBeCloseTo(160, 0);
    expect(map.height).toBeLessThan(260);
  });

  test('is never higher than it is wide, but for its foot', () => {
    const map = mapOf([
      [0, 0],
      [10, 9000],
    ]);
    expect(map.height).toBe(368 + 38);
    expect(map.marks[0]?.x).toBeCloseTo(184, 0);
  });

  test('puts stops along the line by their share of the walk, whatever length was typed', () => {
    const map = mapOf(
      [
        [0, 0],
        [4000, 0],
      ],
      { distance: 8000, stops: [stopAt(2000, { kinds: ['toilets'] })] },
    );
    expect(map.marks.at(-1)).toEqual({ mark: 'toilets', x: 104, y: 24 });
  });

  test('moves a mark that would lie on another aside, with a leader', () => {
    const map = mapOf(
      [
        [0, 0],
        [4000, 0],
        [0, 0],
      ],
      { shape: 'out and back', stops: [stopAt(2000), stopAt(6000, { kinds: ['shop'] })] },
    );
    expect(map.marks.map(({ mark }) => mark)).toEqual(['end', 'water', 'shop']);
    const [, water, shop] = map.marks;
    expect(Math.hypot((water?.x ?? 0) - (shop?.x ?? 0), (water?.y ?? 0) - (shop?.y ?? 0))).toBeGreaterThan(25);
    expect(map.leaders).toMatch(/^M184 24L/);
  });

  test('says its shape, how far it goes and where its stops are', () => {
    const loop = routeMap(
      { line: [circle(100)], lineErrorMetres: 5, shape: 'loop' },
      { distanceMetres: 12_566, stops: [stopAt(3219, { kinds: ['shop', 'toilets'] })] },
      settings,
    );
    expect(loop?.text).toBe('A loop of 7.8 mi, furthest 2.5 mi north of the start; stops: toilets, shop at 2.0 mi.');
    expect(
      mapOf(
        [
          [0, 0],
          [-3000, 3000],
          [0, 0],
        ],
        { shape: 'out and back' },
      ).text,
    ).toBe('Out and back, 5.3 mi, furthest 2.6 mi north-west of the start; no stops.');
    expect(loop?.caption).toEqual(['Square: start and finish; WC: toilets.']);
  });

  test('has a scale bar of a round figure that is as long as it says', () => {
    const { scale } = mapOf([
      [0, 0],
      [16_093.44, 0],
    ]);
    expect(scale.words.words).toBe('2 mi');
    expect(scale.path).toMatch(/^M24 .*H88V/);
  });

  test('points the way: on the line, or beside it where the way comes back on itself', () => {
    expect(
      mapOf([
        [0, 0],
        [4000, 0],
      ]).arrows,
    ).toEqual([88, 184, 280].map((x) => ({ x, y: 24, turn: 0 })));
    const back = mapOf(
      [
        [0, 0],
        [4000, 0],
        [0, 0],
      ],
      { shape: 'out and back' },
    );
    expect(back.arrows.map(({ y, turn }) => [y, turn])).toEqual([
      [36, 0],
      [12, 180],
    ]);
  });

  test('goes on over the 180th meridian and draws no line over a gap', () => {
    expect(
      mapOf(
        [
          [0, 0],
          [4000, 0],
          [4000, 2000],
        ],
        { at: [41.3, 179.99] },
      ).pieces.join(''),
    ).toBe(
      mapOf([
        [0, 0],
        [4000, 0],
        [4000, 2000],
      ]).pieces.join(''),
    );
    const [whole] = [circle(101)];
    const gap = routeMap(
      { line: [whole.slice(0, 40), whole.slice(60)], lineErrorMetres: 5, shape: 'loop' },
      { distanceMetres: 12_566, stops: [] },
      settings,
    );
    expect(gap?.pieces.every((piece) => piece.split('M').length === 2)).toBe(true);
    expect(
      Math.max(
        ...(gap?.pieces ?? []).flatMap((piece) =>
          piece
            .split('l')
            .slice(1)
            .map((step) => Math.hypot(...(step.split(' ').map(Number) as [number, number]))),
        ),
      ),
    ).toBeLessThan(15);
  });

  test('draws a way that never leaves its place', () => {
    const map = mapOf(
      [
        [0, 0],
        [0, 0],
      ],
      { distance: 500, stops: [stopAt(200)] },
    );
    expect(JSON.stringify(map)).not.toMatch(/null|NaN/);
  });
});
