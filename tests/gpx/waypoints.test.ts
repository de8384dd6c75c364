import { describe, expect, it } from 'vitest';
import { distance } from '../../server/calc/geodesy.js';
import { alongs } from '../../server/calc/route.js';
import { kindsOf } from '../../server/gpx/meaning.js';
import { publicName } from '../../server/gpx/names.js';
import { placedWaypoints } from '../../server/gpx/waypoints.js';
import { gpx, readable, track } from './files.js';

const place = (told: { symbol?: string; type?: string; name?: string }) => kindsOf({ symbol: '', type: '', name: '', ...told });

describe('what a place offers', () => {
  it.each([
    [{ symbol: 'Restroom' }, ['toilets']],
    [{ type: 'WC' }, ['toilets']],
    [{ name: 'Public loo' }, ['toilets']],
    [{ type: 'drinking_water' }, ['water']],
    [{ type: 'drinkingWater' }, ['water']],
    [{ symbol: 'Water Source' }, ['water']],
    [{ name: 'Fountain by the bank' }, ['water']],
    [{ name: 'Old tap' }, ['water']],
    [{ symbol: 'Convenience Store' }, ['shop']],
    [{ name: 'CAFÉ' }, ['shop']],
    [{ type: 'bus-shelter' }, ['shelter']],
    [{ symbol: 'Hut' }, ['shelter']],
    [{ name: 'Regroup' }, ['regroup']],
    [{ name: 'Meeting point' }, ['regroup']],
    [{ symbol: 'Restroom', name: 'Toilets, water and shop' }, ['toilets', 'water', 'shop']],
    [{ name: 'Kiln Lane shop' }, ['shop']],
    [{ name: 'No. 5 shop' }, ['shop']],
    [{ name: 'Café, no dogs' }, ['shop']],
    [{ name: 'Weir' }, []],
    [{ name: 'Waterfall' }, []],
    [{ name: '14 Water Street' }, []],
    [{ name: 'Meeting House' }, []],
    [{ name: 'Shutdown' }, []],
    [{ symbol: 'Drinking Water', name: 'No water in winter' }, []],
    [{ name: 'No toilets or water' }, []],
    [{ name: 'No shop, but a tap' }, ['water']],
    [{ name: 'Toilets closed' }, []],
    [{ type: 'water', name: 'Not drinkable' }, []],
  ])('%j', (told, kinds) => {
    expect(place(told)).toEqual(kinds);
  });
});

describe('names', () => {
  it('are one line of what can be seen', () => {
    expect(publicName(' Tap\u0007\n by\u202e the &amp; weir ', 80)).toBe('Tap by the & weir');
    expect(publicName('😀'.repeat(90), 80)).toBe('😀'.repeat(80));
    expect(publicName('e\u0301'.repeat(3), 80)).toBe('\u00e9'.repeat(3));
  });

  it.each([
    '2026-05-01 Round',
    'Round 09:30',
    '20260501',
    'Round of 5 May',
    'May 5th',
    '1.5.26',
    '7 am round',
    'Spring 2026',
    '08.15 start',
    'Walk on 5.1.',
  ])('%s tells when, and is not for everyone', (name) => {
    expect(publicName(name, 80)).toBe('');
  });

  it.each(['Home +12025550111', '1715000000', 'Ring (202) 555-0111'])("%s has a number in it that is nobody else's business", (name) => {
    expect(publicName(name, 80)).toBe('');
  });

  it.each(['Quarry Lakes loop', '8.25 mile loop', '3 Marsh Lane', 'Mayfield 5', 'Route 66', ''])('%s is', (name) => {
    expect(publicName(name, 80)).toBe(name);
  });
});

describe('places by the way', () => {
  /** North for some 2.2 km, then a gap, then east. */
  const way = readable(
    gpx(
      track([
        [41, -85],
        [41.01, -85],
        [41.02, -85],
      ]) +
        track([
          [41.03, -85],
          [41.03, -84.98],
        ]),
    ),
  ).segments;
  const at = (lat: number, lon: number, name = 'Tap') => ({ lat, lon, name, symbol: '', type: '' });
  const placed = (...places: ReturnType<typeof at>[]) => placedWaypoints(places, way, alongs(way));

  it('are where the way comes nearest', () => {
    const [tap] = placed(at(41.005, -84.999));
    expect(tap).toMatchObject({ name: 'Tap', kinds: ['water'], lat: 41.005, lon: -84.999 });
    expect(tap?.metres).toBe(Math.round(distance(41, -85, 41.005, -85)));
    expect(tap?.offMetres).toBe(Math.round(distance(41.005, -85, 41.005, -84.999)));
  });

  it('are found by metres, not by degrees, which narrow towards the poles', () => {
    const slanting = readable(
      gpx(
        track([
          [60, 10],
          [60.01, 10.02],
        ]),
      ),
    ).segments;
    const [tap] = placedWaypoints([at(60.002, 10)], slanting, alongs(slanting));
    expect(tap?.metres).toBeCloseTo(distance(60, 10, 60.001, 10.002), -1);
  });

  it('count along without the gap', () => {
    const north = distance(41, -85, 41.02, -85);
    expect(placed(at(41.03, -84.99))[0]?.metres).toBe(Math.round(north + distance(41.03, -85, 41.03, -84.99)));
  });

  it('lie within 250 m', () => {
    const off = (metres: number) => -84.98 + metres / distance(41.03, -84, 41.03, -83);
    expect(placed(at(41.03, off(249)))).toHaveLength(1);
    expect(placed(at(41.03, off(251)))).toHaveLength(0);
    expect(placed(at(-41.03, off(0)))).toHaveLength(0);
  });

  it('come in their order along, and of very many the nearest 60', () => {
    const many = Array.from({ length: 100 }, (_, index) => at(41.02 - index / 1e4, -85 + ((index * 37) % 100) / 1e5, `Tap ${index}`));
    const kept = placed(...many);
    expect(kept).toHaveLength(60);
    expect(kept.map((tap) => tap.metres)).toEqual(kept.map((tap) => tap.metres).sort((a, b) => a - b));
    expect(Math.max(...kept.map((tap) => tap.offMetres))).toBeLessThanOrEqual(50);
  });

  it('are found across the date line', () => {
    const across = readable(
      gpx(
        track([
          [10, 179.999],
          [10, -179.999],
        ]),
      ),
    ).segments;
    const [tap] = placedWaypoints([at(10.001, -180)], across, alongs(across));
    expect(tap?.metres).toBe(Math.round(distance(10, 179.999, 10, 180)));
    expect(tap?.offMetres).toBe(111);
  });
});
