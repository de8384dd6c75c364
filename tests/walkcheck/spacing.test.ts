import { describe, expect, it } from 'vitest';
import { check, found, IN_KM, keys, miles, northward, served, stop } from './around.js';

describe('toilets and water', () => {
  it('five miles without are fine, a metre more is not', () => {
    expect(keys(check({ distanceMetres: miles(5) }))).toEqual([]);
    expect(keys(check({ distanceMetres: miles(5) + 1 }))).toEqual(['toilets', 'water']);
  });

  it('five typed miles between two stops are fine, whatever their rounding to metres', () => {
    for (let tenths = 0; tenths <= 50; tenths += 1) {
      const first = tenths / 10;
      expect(found('toilets', { distanceMetres: miles(first + 5), stops: served(first) })).toBeUndefined();
    }
    expect(found('toilets', { distanceMetres: miles(7.5), stops: served(2.4) })).toBeDefined();
  });

  it('names the stretch', () => {
    const item = found('toilets', { distanceMetres: miles(8.2), stops: served(2.4) });
    expect(item).toMatchObject({ kind: 'mend', explain: true, title: 'No toilets between mile 2.4 and the finish: 5.8 mi', href: 'stops' });
  });

  it('names every stretch', () => {
    const item = found('water', { distanceMetres: miles(17), stops: served(5.5, 10) });
    expect(item?.title).toBe('No water between the start and mile 5.5 (5.5 mi) nor between mile 10.0 and the finish (7.0 mi)');
  });

  it('are two questions', () => {
    const stops = [stop(miles(3), { kinds: ['toilets'] })];
    expect(keys(check({ distanceMetres: miles(6), stops }))).toEqual(['water']);
  });

  it('never says that five miles are more than five', () => {
    expect(found('water', { distanceMetres: miles(5.02) })?.title).toBe('No water between the start and the finish: 5.02 mi');
  });

  it('are said in kilometres where the group counts so', () => {
    const item = found('toilets', { distanceMetres: 12_000, stops: [stop(3900, { kinds: ['toilets'] })] }, { settings: IN_KM });
    expect(item?.title).toBe('No toilets between km 3.9 and the finish: 8.1 km');
    expect(item?.why).toContain('more than 8.0 km');
    expect(found('toilets', { distanceMetres: 8000 }, { settings: IN_KM })).toBeUndefined();
  });

  it('a stop beyond the finish serves nobody', () => {
    const items = check({ distanceMetres: miles(6), stops: served(7) });
    expect(keys(items)).toEqual(['toilets', 'water', 'beyond']);
    expect(items[0]?.title).toBe('No toilets between the start and the finish: 6.0 mi');
  });
});

describe('a stop beyond the finish', () => {
  it('at the finish is fine, a metre on is not', () => {
    expect(found('beyond', { stops: [stop(miles(4))] })).toBeUndefined();
    const item = found('beyond', { stops: [stop(miles(4) + 161, { kinds: ['shop'], name: 'Kiln Lane' })] });
    expect(item).toMatchObject({ kind: 'mend', explain: false, title: 'The walk is 4.0 mi long, but has "Kiln Lane" at 4.1 mi' });
    expect(found('beyond', { stops: [stop(miles(4) + 1)] })).toBeDefined();
  });
});

describe('places that the file names', () => {
  const route = northward(miles(4), { waypoints: [{ name: 'Lower lock', kinds: ['toilets'], metres: miles(2.4), offMetres: 8 }] });

  it('are offered until the walk has stops', () => {
    const item = found('waypoints', {}, { route });
    expect(item?.title).toBe('The file names a place that could be stops: "Lower lock", 2.4 mi along');
    expect(found('waypoints', { stops: served(2) }, { route })).toBeUndefined();
    expect(found('waypoints', {}, { route: northward(miles(4)) })).toBeUndefined();
  });
});
