import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { groupSettings } from '../../server/settings/rules.js';
import { explainedItems, unexplained, walkCheck } from '../../server/walkcheck/rules.js';
import { SURFACES, type WalkFacts } from '../../server/walks/facts.js';
import { STOP_KINDS } from '../../server/walks/stops.js';
import { walkFacts } from '../support/cast.js';
import { check, miles, northward, other } from './around.js';

describe('the walk check', () => {
  it('finds nothing in a walk without fault', () => {
    expect(check()).toEqual([]);
  });

  it('gives every item a key that the form can carry, once, and four full sentences', () => {
    const items = check(
      {
        distanceMetres: miles(12),
        landmark: '',
        directions: '',
        seenOn: '',
        surfaces: [],
        ascentMetres: 900,
        gather: '03:00',
        setOff: '03:00',
        lat: null,
      },
      { others: [other({ gatherAt: 0, endAt: 9e12 })] },
    );
    expect(items.length).toBeGreaterThan(8);
    expect(new Set(items.map((item) => item.key)).size).toBe(items.length);
    for (const item of items) {
      expect(item.key).toMatch(/^[a-z]{1,20}$/);
      for (const text of [item.title, item.why, item.mends]) expect(text).not.toMatch(/undefined|NaN|null/);
      expect(item.why).toMatch(/[.]$/);
      expect(item.mends).toMatch(/[.]$/);
    }
  });

  it('lets a walk go ahead once all that must be mended is explained, and shows the reasons', () => {
    const changed = { distanceMetres: miles(6) };
    expect(unexplained(check(changed)).map((item) => item.key)).toEqual(['toilets', 'water']);
    const half = check({ ...changed, explained: { toilets: 'The café at mile 3 lets us in' } });
    expect(unexplained(half).map((item) => item.key)).toEqual(['water']);
    expect(explainedItems(half)).toEqual([
      { title: 'No toilets between the start and the finish: 6.0 mi', reason: 'The café at mile 3 lets us in' },
    ]);
    expect(unexplained(check({ ...changed, explained: { toilets: 'Café', water: 'Carry 2 litres' } }))).toEqual([]);
  });

  it('takes no reason for what cannot be explained, and keeps none for what is not found', () => {
    const items = check({ landmark: '', explained: { landmark: 'They will see us', dusk: 'We bring lamps' } });
    expect(unexplained(items).map((item) => item.key)).toEqual(['landmark']);
    expect(explainedItems(items)).toEqual([]);
  });

  it('thinking is no hindrance', () => {
    expect(unexplained(check({ seenOn: '' }))).toEqual([]);
  });

  it('never throws, whatever the facts, and never says a figure that is none', () => {
    fc.assert(
      fc.property(anyFacts, anyAround, (facts, around) => {
        const items = walkCheck(facts, around);
        for (const item of items)
          expect(`${item.title} ${item.why} ${item.mends}`).not.toMatch(/\b(undefined|NaN|null|Infinity|Invalid)\b/);
        expect(new Set(items.map((item) => item.key)).size).toBe(items.length);
      }),
      { numRuns: 300 },
    );
  });
});

const metres = fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 160_000 }), fc.double({ min: 0, max: 1e6, noNaN: true }));
const lat = fc.double({ min: -90, max: 90, noNaN: true });
const lon = fc.double({ min: -180, max: 180, noNaN: true });
const at = fc.integer({ min: 0, max: 4_102_444_800_000 });
const words = fc.constantFrom('', ' ', 'Station park', 'the main entrance', 'By the green lamp', '駅', '💧', 'constructor');
const zone = fc.constantFrom(
  'America/New_York',
  'America/Chicago',
  'UTC',
  'Arctic/Longyearbyen',
  'Australia/Lord_Howe',
  'Pacific/Kiritimati',
);

const anyStop = fc.record({
  kinds: fc.subarray([...STOP_KINDS]),
  name: words,
  metres,
  effortMetres: fc.option(metres),
  minutes: fc.integer({ min: 0, max: 240 }),
  short: fc.option(fc.record({ rejoins: metres, length: metres })),
});

const anyFacts: fc.Arbitrary<WalkFacts> = fc
  .record({
    date: fc
      .date({ min: new Date('2020-01-01'), max: new Date('2090-01-01'), noInvalidDate: true })
      .map((day) => day.toISOString().slice(0, 10)),
    zone,
    gatherAt: at,
    setOffAt: at,
    meetingPoint: words,
    landmark: words,
    lat: fc.option(lat),
    lon: fc.option(lon),
    // Whole metres, as they are stored.
    distanceMetres: fc.integer({ min: 0, max: 160_000 }),
    ascentMetres: metres,
    routeId: fc.option(fc.integer({ min: 1 })),
    effortMetres: fc.option(metres),
    stops: fc.array(anyStop, { maxLength: 8 }),
    surfaces: fc.subarray([...SURFACES]),
    stepFree: fc.boolean(),
    directions: words,
    description: words,
    bring: words,
    seenOn: fc.constantFrom('', '2026-12-01', '2099-01-01'),
    explained: fc.dictionary(fc.constantFrom('toilets', 'water', 'dusk', 'dawn'), words),
  })
  .map((facts) => walkFacts(facts));

const anyAround = fc.record({
  settings: fc.constantFrom(groupSettings.parse({}), groupSettings.parse({ units: 'km', clock: 24, locale: 'en-GB' })),
  now: at,
  area: fc.record({ name: words, lat, lon, radiusMetres: metres }),
  route: fc.oneof(
    fc.constant(null),
    fc.constant(northward(12_000)),
    fc.record({
      lengthMetres: metres,
      ascentMetres: fc.option(metres),
      line: fc.array(fc.array(fc.tuple(lat, lon, metres), { maxLength: 5 }), { maxLength: 3 }),
      waypoints: fc.array(fc.record({ name: words, kinds: fc.subarray([...STOP_KINDS]), metres, offMetres: metres }), { maxLength: 5 }),
    }),
  ),
  others: fc.array(
    fc.record({
      walkId: fc.integer(),
      title: words,
      href: words,
      gatherAt: at,
      setOffAt: at,
      endAt: at,
      zone,
      sameLeader: fc.boolean(),
      sameArea: fc.boolean(),
      distanceMetres: metres,
    }),
    { maxLength: 5 },
  ),
  when: fc.constantFrom('draft' as const, 'posted' as const),
});
