import { beforeEach, describe, expect, it } from 'vitest';
import { helpPlaces, lastStop } from '../../server/day/help-model.js';
import type { Entry } from '../../server/day/ledger.js';
import { packPoints } from '../../server/day/pack-points.js';
import { keepEntries } from '../../server/day/store.js';
import { pointAlong, pointWords } from '../../server/day/where.js';
import { auditLog, walks } from '../../server/db/schema/index.js';
import type { Stop } from '../../server/walks/stops.js';
import { DAY_MS, GATHER, type Stage, stage, turnedUpFields } from './care-stage.js';

let on: Stage;

beforeEach(async () => {
  on = await stage();
});

const openings = () =>
  on.site.db.q
    .select()
    .from(auditLog)
    .all()
    .filter((row) => row.action === 'opened emergency details');

describe('the emergency page', () => {
  it('begins with the number of the walk’s area, and says where before whom', async () => {
    const { text, headers } = await on.cast.browser('leader').get(on.path(`roll/help?who=${on.ana}`));
    const main = text.slice(text.indexOf('<main'));
    expect(main.indexOf('href="tel:911"')).toBeLessThan(main.indexOf('Weir car park'));
    expect(main.indexOf('Weir car park')).toBeLessThan(main.indexOf('Open the emergency contact of Ana Ferreira'));
    expect(main.indexOf('Open the emergency contact of')).toBeLessThan(main.indexOf('Write down what happened'));
    for (const words of [
      'Ana Ferreira was last counted at',
      '41.30000, -85.10000',
      'Heat stroke',
      'Too much water',
      'Too little water',
      'Not a first-aid course',
    ])
      expect(main).toContain(words);
    expect(headers['cache-control']).toBe('no-store');
    expect(text).not.toContain('Rui Ferreira');
    expect(openings()).toEqual([]);
  });

  it('lists everyone on the roll where nobody was chosen', async () => {
    await on.cast.browser('leader').post(on.path('roll/turned-up'), turnedUpFields());
    const { text } = await on.cast.browser('leader').get(on.path('roll/help'));
    expect(text).toContain(`/roll/help?who&#x3D;${on.ana}#who`);
    expect(text).toContain('/roll/help?who&#x3D;tkey-of-teo-park#who');
  });

  it('opens one person’s contact and writes down that it was an emergency', async () => {
    const { text, status, headers } = await on.cast.browser('leader').post(on.path('roll/help'), { who: on.ana });
    expect([status, headers['cache-control']]).toEqual([200, 'no-store']);
    for (const words of ['Rui Ferreira', 'href="tel:+12025550188"', 'yellowfinch allergy']) expect(text).toContain(words);
    expect(openings()).toMatchObject([
      { personId: on.cast.ids.leader, subject: `walk:${on.cast.walkId}`, detail: { members: [1], reason: 'emergency' } },
    ]);
  });

  it('opens that of somebody who turned up just so', async () => {
    await on.cast.browser('leader').post(on.path('roll/turned-up'), turnedUpFields());
    const { text } = await on.cast.browser('co-leader').post(on.path('roll/help'), { who: 'tkey-of-teo-park' });
    for (const words of ['Ida Park', 'href="tel:+12025550162"', 'carries an inhaler']) expect(text).toContain(words);
    expect(openings()).toMatchObject([{ personId: on.cast.ids['co-leader'], detail: { members: [], turnedUp: [1], reason: 'emergency' } }]);
  });

  it('opens that of somebody who waits for a place and came along, once the roll has them', async () => {
    on.site.db.raw.exec("UPDATE sign_ups SET state = 'waiting'");
    const leader = on.cast.browser('leader');
    expect((await leader.post(on.path('roll/help'), { who: on.ana })).status).toBe(422);
    const clock = { deviceAt: GATHER, sentAt: GATHER, receivedAt: GATHER };
    const entry = {
      entry: 'an-entry-of-a-phone',
      who: on.ana,
      said: { kind: 'arrived' } as const,
      after: [],
      device: 'phone-1234',
      ...clock,
    };
    on.site.db.write((tx) => keepEntries(tx, on.cast.walkId, [{ ...entry, byPersonId: null }]));
    const { text } = await leader.post(on.path('roll/help'), { who: on.ana });
    expect(text).toContain('Rui Ferreira');
    expect(openings()).toMatchObject([{ detail: { members: [1], reason: 'emergency' } }]);
  });

  it('opens nothing where it cannot be written down', async () => {
    await on.cast.browser('leader').post(on.path('roll/turned-up'), turnedUpFields());
    on.site.db.raw.exec("CREATE TRIGGER stuck BEFORE INSERT ON audit_log BEGIN SELECT RAISE(ABORT, 'stuck'); END");
    const { text, status } = await on.cast.browser('leader').post(on.path('roll/help'), { who: 'tkey-of-teo-park' });
    expect(status).toBe(500);
    expect(text).not.toContain('Ida Park');
    on.site.log.splice(0);
  });

  it('says why outside the window, and opens nothing', async () => {
    const ask = async (now: number) => {
      on.site.clock.now = now;
      return on.cast.browser('leader').post(on.path('roll/help'), { who: on.ana });
    };
    expect((await ask(GATHER - DAY_MS)).status).toBe(200);
    const early = await ask(GATHER - DAY_MS - 1);
    expect(early.status).toBe(403);
    expect(early.text).toContain('Emergency details open Fri, Dec 4, 2026');
    expect((await ask(GATHER + 3 * DAY_MS - 1)).status).toBe(200);
    const late = await ask(GATHER + 3 * DAY_MS);
    expect(late.text).toContain('a coordinator can open one person');
    expect((await on.cast.browser('leader').get(on.path(`roll/help?who=${on.ana}`))).text).toContain('href="tel:911"');
  });

  it('asks again where somebody is named who is not on the roll', async () => {
    expect((await on.cast.browser('leader').post(on.path('roll/help'), { who: 'm999' })).status).toBe(422);
    expect(openings()).toEqual([]);
  });
});

const LINE: [number, number, number][][] = [
  [
    [41, -85, 0],
    [41.01, -85, 1000],
    [41.01, -85.02, 3000],
  ],
];

describe('where it is', () => {
  it('lies straight between the vertices of the route, and nowhere past its end', () => {
    expect(pointAlong(LINE, 0)).toEqual({ lat: 41, lon: -85 });
    expect(pointAlong(LINE, 500)?.lat).toBeCloseTo(41.005, 9);
    expect(pointAlong(LINE, 3000)).toEqual({ lat: 41.01, lon: -85.02 });
    expect(pointAlong(LINE, 3099)).toEqual({ lat: 41.01, lon: -85.02 });
    expect(pointAlong(LINE, 3100)).toBeNull();
    expect(pointAlong([], 0)).toBeNull();
    expect(pointWords({ lat: 41.005, lon: -85.1 })).toBe('41.00500, -85.10000');
  });

  it('marks the stop where somebody was counted last, or the group', () => {
    const stop = (name: string, metres: number): Stop => ({ kinds: ['water'], name, metres, effortMetres: null, minutes: 5, short: null });
    const walk = {
      meetingPoint: 'Gate',
      landmark: 'oak',
      lat: 41,
      lon: -85,
      stops: [stop('Well', 1000), stop('', 2000)],
      distanceMetres: 3000,
    };
    const last = (at: { stop: number; finished: boolean }) =>
      helpPlaces(walk, { line: LINE }, at, { units: 'km' }).filter((place) => place.last);
    const entries: Entry[] = [
      { entry: 'a', who: 'm1', said: { kind: 'stop', stop: 1 }, after: [] },
      { entry: 'b', who: 'group', said: { kind: 'group', at: 'stop', stop: 2 }, after: [] },
      { entry: 'c', who: 'm2', said: { kind: 'finished' }, after: [] },
    ];
    expect(last(lastStop(entries, 'm1'))).toMatchObject([{ name: 'Stop 1: Well', point: '41.01000, -85.00000' }]);
    expect(last(lastStop(entries, null))).toMatchObject([{ name: 'Stop 2: Water' }]);
    expect(last(lastStop(entries, 'm2'))).toMatchObject([{ name: 'Finish' }]);
    expect(last(lastStop([], 'm3'))).toMatchObject([{ name: 'Meeting point: Gate, oak' }]);
    expect(helpPlaces({ ...walk, lat: null, lon: null }, null, lastStop([], null), { units: 'mi' }).map((place) => place.point)).toEqual([
      null,
      null,
      null,
      null,
    ]);
  });
});

it('says of a stop what the printed pack says, also where the leader gave another length than the file has', () => {
  const stops: Stop[] = [{ kinds: ['water'], name: 'Well', metres: 2000, effortMetres: null, minutes: 5, short: null }];
  const walk = { meetingPoint: 'Gate', landmark: 'oak', lat: 41, lon: -85, stops, distanceMetres: 6000 };
  const places = helpPlaces(walk, { line: LINE }, lastStop([], null), { units: 'km' });
  expect(places.map((place) => place.point)).toEqual(['41.00000, -85.00000', '41.01000, -85.00000', '41.01000, -85.02000']);
  const printed = packPoints(walk, LINE, 'km').filter((place) => place.name !== '');
  expect(printed.map((place) => place.point)).toEqual(places.map((place) => place.point));
});

it('a walk that is not posted opens nothing', async () => {
  on.site.db.write((tx) =>
    tx.update(walks).set({ state: 'cancelled', cancelKind: 'safety', cancelReason: 'Ice', cancelledAt: GATHER }).run(),
  );
  const { status, text } = await on.cast.browser('leader').post(on.path('roll/help'), { who: on.ana });
  expect(status).toBe(403);
  expect(text).toContain('nobody is out on it');
});
