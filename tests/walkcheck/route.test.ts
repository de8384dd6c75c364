import { describe, expect, it } from 'vitest';
import { pointAt } from '../../server/walkcheck/short-ways.js';
import { AROUND, check, found, IN_KM, keys, miles, northward, stop } from './around.js';

describe('the typed length', () => {
  const route = northward(6000);

  it('within a twentieth of the route is fine, a metre more asks to think', () => {
    for (const fine of [5700, 6300]) expect(found('length', { distanceMetres: fine }, { route })).toBeUndefined();
    for (const off of [5699, 6301]) expect(found('length', { distanceMetres: off }, { route })).toMatchObject({ kind: 'think' });
    expect(found('length', { distanceMetres: miles(4) }, { route })?.title).toBe('The length says 4.0 mi, the route 3.7 mi');
  });
});

describe('the typed climb', () => {
  const climbs = (ascentMetres: number, ofRoute: number | null) =>
    found('climb', { ascentMetres }, { route: northward(miles(4), { ascentMetres: ofRoute }) });

  it('more than a quarter and more than 50 m off asks to think', () => {
    expect(climbs(500, 400)).toBeUndefined();
    expect(climbs(501, 400)).toMatchObject({ kind: 'think', href: 'ascent' });
    expect(climbs(299, 400)?.title).toBe('The climb says 981 ft, the route 1,312 ft');
    expect(climbs(300, 400)).toBeUndefined();
    expect(climbs(150, 100)).toBeUndefined();
    expect(climbs(150.1, 100)).toBeDefined();
  });

  it('is not asked about where either is not known', () => {
    expect(climbs(0, 400)).toBeUndefined();
    expect(climbs(400, null)).toBeUndefined();
  });
});

describe('the area', () => {
  it('a route inside its circle is fine, one that leaves it is told where and how far', () => {
    const route = northward(miles(4));
    const within = (radiusMetres: number) => found('outside', {}, { route, area: { ...AROUND.area, radiusMetres } });
    expect(within(6450)).toBeUndefined();
    expect(within(6430)).toBeDefined();
    expect(within(4000)?.title).toBe('The route is outside Lantern Hills from mile 2.8 on, up to 1.5 mi beyond its edge');
  });
});

describe('a walk nobody else could follow', () => {
  it('three miles are fine, a metre more asks for directions or a route', () => {
    expect(keys(check({ directions: '', distanceMetres: miles(3) }))).toEqual([]);
    expect(found('directions', { directions: ' ', distanceMetres: miles(3) + 1 })).toMatchObject({ kind: 'think' });
    expect(found('directions', { directions: '', routeId: 3 })).toBeUndefined();
    expect(found('directions', { directions: '' }, { route: northward(miles(4)) })).toBeUndefined();
    expect(found('directions', { directions: 'Along the canal.' })).toBeUndefined();
  });
});

describe('the route seen', () => {
  it('must be seen, and no more than 30 days before the walk', () => {
    expect(found('seen', { seenOn: '' })?.title).toBe('Walk or drive the route first: online maps miss closures');
    expect(found('seen', { seenOn: '2027-03-18' })).toBeUndefined();
    expect(found('seen', { seenOn: '2027-03-17' })).toMatchObject({ kind: 'think' });
    expect(found('seen', { seenOn: '2027-03-17' })?.title).toContain('more than 30 days before');
  });
});

describe('a short way', () => {
  // Straight north: nothing is shorter than the way itself, so a short way of the whole length is the least.
  const distanceMetres = 8000;
  const route = northward(distanceMetres);
  const short = (length: number, rejoins = 6000) => ({ distanceMetres, stops: [stop(2000, { short: { rejoins, length } })] });

  it('cannot be shorter than the straight line between its ends makes it, but for rounding', () => {
    expect(found('shortways', short(7845), { route })).toBeUndefined();
    expect(found('shortways', short(7835), { route })).toMatchObject({ kind: 'mend', explain: false });
    expect(found('shortways', short(4000), { route, settings: IN_KM })?.title).toBe(
      'A short way cannot be so short: 4.0 km by the way at km 2.0, where the straight line makes 8.0 km',
    );
  });

  it('is not judged without a route', () => {
    expect(found('shortways', short(2500))).toBeUndefined();
  });

  it('a metre shorter than the whole is fine, as long as the whole asks to think', () => {
    expect(found('longways', short(7999))).toBeUndefined();
    expect(found('longways', short(8000))).toMatchObject({ kind: 'think' });
  });

  it('on a way there and back may be as short as twice the way to where it leaves', () => {
    const [out] = northward(4000).line;
    const back = (out ?? []).map(([lat, lon, metres]) => [lat, lon, 8000 - metres] as [number, number, number]).reverse();
    const around = { route: { ...route, line: [[...(out ?? []), ...back]] } };
    expect(found('shortways', short(4000, 8000), around)).toBeUndefined();
    expect(found('shortways', short(3800, 8000), around)).toBeDefined();
  });
});

describe('a point along the line', () => {
  const line: [number, number, number][][] = [
    [
      [0, 179.9, 0],
      [0, -179.9, 100],
    ],
    [
      [5, 0, 102],
      [6, 0, 202],
    ],
  ];

  it('lies between its neighbours, over the date line too, and never in a gap', () => {
    expect(pointAt(line, -1)).toEqual({ lat: 0, lon: 179.9 });
    expect(Math.abs(pointAt(line, 50)?.lon ?? 0)).toBeCloseTo(180, 6);
    expect(pointAt(line, 101)).toEqual({ lat: 5, lon: 0 });
    expect(pointAt(line, 152)).toEqual({ lat: 5.5, lon: 0 });
    expect(pointAt(line, 900)).toEqual({ lat: 6, lon: 0 });
    expect(pointAt([[]], 5)).toBeNull();
  });
});

describe('a way that breaks off', () => {
  /** Two pieces, so many degrees of latitude apart: 0.0018 are 200 m. */
  const broken = (degrees: number) =>
    northward(6000, {
      line: [
        [
          [41.3, -85.1, 0],
          [41.32, -85.1, 2221],
        ],
        [
          [41.32 + degrees, -85.1, 2221],
          [41.3, -85.1, 6000],
        ],
      ],
    });

  it('by what a lost signal leaves out is fine, by more it may be two walks', () => {
    expect(found('gap', {}, { route: broken(0.0018) })).toBeUndefined();
    expect(found('gap', {}, { route: broken(0.00181) })).toMatchObject({ kind: 'think', href: 'gpx' });
    expect(found('gap', {}, { route: broken(0.05) })?.title).toBe('The route breaks off, and goes on 3.5 mi away');
    expect(found('gap', {}, { route: northward(6000) })).toBeUndefined();
  });
});

describe('a walk that ends somewhere else', () => {
  const ends = (metres: number, description = '') => found('wayback', { description }, { route: northward(metres) });

  it('asks how people get back, unless the text says so', () => {
    expect(ends(800)).toBeUndefined();
    expect(ends(810)).toMatchObject({ kind: 'think', href: 'directions' });
    expect(ends(5000)?.title).toBe('The route ends 3.1 mi from where it begins');
    expect(ends(5000, 'The bus takes us home.')).toBeUndefined();
    expect(ends(5000, 'A busy road, and a carpet of moss.')).toBeDefined();
  });
});
