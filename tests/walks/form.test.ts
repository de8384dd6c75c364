import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readWalk, type WalkFormFacts } from '../../server/walks/form.js';
import { typedFrom } from '../../server/walks/form-page.js';
import type { Faults, Typed } from '../../server/web/forms.js';

const NOW = Date.UTC(2026, 1, 1, 12);
const AREAS = [
  { id: 1, slug: 'lantern-hills', zone: 'America/New_York' },
  { id: 2, slug: 'quarry-lakes', zone: 'America/Chicago' },
  { id: 3, slug: 'old-docks', zone: 'Europe/London' },
  { id: 4, slug: 'far-island', zone: 'Australia/Lord_Howe' },
];
const GIVEN: WalkFormFacts = {
  areas: AREAS,
  units: 'mi',
  now: NOW,
  today: '2026-02-01',
  intent: 'post',
  before: null,
  postedSetOffAt: null,
  countedStops: 0,
  confirmed: 0,
  minorsSignedUp: 0,
  route: null,
};

const TYPED: Typed = {
  area: 'lantern-hills',
  routeName: 'Quarry Lakes loop',
  locality: 'Lantern Hills',
  date: '2026-05-02',
  gather: '08:45',
  setOff: '09:00',
  zone: '',
  meetingPoint: 'Weir car park',
  landmark: 'by the green ticket machine',
  distance: '8.2',
  ascent: '520',
  capacity: '20',
};

function read(changed: Typed = {}, given: Partial<WalkFormFacts> = {}) {
  const result = readWalk({ ...TYPED, ...changed }, { ...GIVEN, ...given });
  return 'facts' in result ? { facts: result.facts, faults: {} as Faults, offsets: [] } : { facts: null, ...result };
}

describe('the walk form', () => {
  it('stores metres, and instants in the zone of the area', () => {
    const { facts } = read();
    expect(facts).toMatchObject({ distanceMetres: 13_197, ascentMetres: 158.5, zone: 'America/New_York', doubledOffset: null });
    expect(new Date(facts?.gatherAt ?? 0).toISOString()).toBe('2026-05-02T12:45:00.000Z');
  });

  it.each([
    ['distance', 'far'],
    ['distance', '0'],
    ['distance', '-3'],
    ['distance', '900'],
    ['ascent', 'steep'],
    ['capacity', '0'],
    ['capacity', '501'],
    ['date', '2026-02-30'],
    ['date', '02/05/2026'],
    ['gather', '25:00'],
    ['zone', 'Nowhere/Else'],
    ['lat', '91'],
    ['routeName', ''],
    ['landmark', ''],
    ['area', 'elsewhere'],
  ])('refuses %s "%s" with a sentence beside the field', (field, value) => {
    expect(read({ [field]: value }).faults).toHaveProperty(field);
  });

  it.each([
    ['1,200', 365.8],
    ['12,000', 3657.6],
    ['30,000', null],
    ['520', 158.5],
    ['520.5', 158.6],
  ])('reads a climb of "%s" as people mean it', (ascent, metres) => {
    const { facts, faults } = read({ ascent });
    expect(facts?.ascentMetres ?? null).toBe(metres);
    if (metres === null) expect(faults.ascent).toMatch(/more climb than a day/);
  });

  it('gives back what was typed: an edit that leaves length and climb alone changes neither', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 10, max: 9900 }),
        fc.integer({ min: 0, max: 19_000 }),
        fc.constantFrom('mi', 'km'),
        (hundredths, climb, units) => {
          const typed = { distance: String(hundredths / 100), ascent: units === 'mi' ? String(climb) : String(Math.floor(climb / 4)) };
          const first = read(typed, { units }).facts;
          if (!first) return;
          const back = typedFrom(first, 'lantern-hills', 'America/New_York', units);
          expect(read(back, { units }).facts).toEqual(first);
          expect(Number(back.distance)).toBe(hundredths / 100);
          expect(Number(back.ascent || 0)).toBe(Number(typed.ascent));
        },
      ),
    );
  });

  it('lets a draft leave out where people meet, and a post not', () => {
    const open = { meetingPoint: '', landmark: '' };
    expect(read(open, { intent: 'draft' }).facts).not.toBeNull();
    expect(Object.keys(read(open).faults)).toEqual(['meetingPoint', 'landmark']);
  });

  it('refuses a set-off before the gathering, and takes one at the same minute', () => {
    expect(read({ setOff: '08:44' }).faults).toHaveProperty('setOff');
    expect(read({ setOff: '08:45' }).facts).not.toBeNull();
  });

  it('refuses the past by the minute, and a year that is a slip', () => {
    const gatherAt = Date.UTC(2026, 4, 2, 12, 45);
    expect(read({}, { now: gatherAt }).faults).toHaveProperty('date');
    expect(read({}, { now: gatherAt - 1 }).facts).not.toBeNull();
    expect(read({ date: '2027-05-02' }).faults).toHaveProperty('date');
  });

  it('lets a walk whose time is untouched keep it, though it lies in the past', () => {
    const before = read().facts;
    expect(read({ bring: 'Hat' }, { before, now: NOW + 200 * 24 * 3_600_000 }).facts).not.toBeNull();
  });

  it('does not go below the places already confirmed', () => {
    expect(read({ capacity: '11' }, { confirmed: 12 }).faults.capacity).toMatch(/^12 places/);
    expect(read({ capacity: '12' }, { confirmed: 12 }).facts).not.toBeNull();
  });

  it('goes on taking under-18s while some are signed up', () => {
    expect(read({}, { minorsSignedUp: 1 }).faults.minors).toContain('Someone under 18 is signed up already.');
    expect(read({}, { minorsSignedUp: 3 }).faults.minors).toContain('3 under-18s are');
    expect(read({ minors: 'yes' }, { minorsSignedUp: 3 }).facts).not.toBeNull();
  });
});

// Clock changes: IANA tz, the instants as in DESIGN's check values (New York 2026-03-08 07:00 UTC, Lord Howe 2026-10-03 15:30 UTC, ...).
describe('clock changes on the form', () => {
  it.each([
    ['lantern-hills', '2026-03-08', '02:30'],
    ['quarry-lakes', '2026-03-08', '02:00'],
    ['old-docks', '2026-03-29', '01:59'],
    ['far-island', '2026-10-04', '02:15'],
  ])('in %s, %s %s does not exist: refused and explained', (area, date, time) => {
    expect(read({ area, date, gather: time, setOff: '05:00' }).faults.gather).toMatch(/go forward/);
  });

  it.each([
    ['lantern-hills', '2026-11-01', '01:30', ['-04:00', '-05:00']],
    ['quarry-lakes', '2026-11-01', '01:00', ['-05:00', '-06:00']],
    ['old-docks', '2026-10-25', '01:15', ['+01:00', '+00:00']],
    ['far-island', '2026-04-05', '01:45', ['+11:00', '+10:30']],
  ])('in %s, %s %s happens twice: asks which, and takes the answer', (area, date, gather, offsets) => {
    const asked = read({ area, date, gather, setOff: '06:00' });
    expect(asked.faults).toHaveProperty('offset');
    expect(asked.offsets.map((one) => one.value)).toEqual(offsets);
    const [first, second] = offsets.map((offset) => read({ area, date, gather, setOff: '06:00', offset }).facts?.gatherAt);
    expect((second ?? 0) - (first ?? 0)).toBe(area === 'far-island' ? 30 * 60_000 : 60 * 60_000);
  });

  it('asks nothing an hour later, and keeps no offset then', () => {
    const { facts } = read({ date: '2026-11-01', gather: '02:00', setOff: '02:30', offset: '-04:00' });
    expect(facts?.doubledOffset).toBeNull();
  });
});

describe('the date of a posted walk', () => {
  const SET_OFF = Date.UTC(2026, 1, 1, 12);
  const WALKED = { date: '2026-02-01', gather: '06:00', setOff: '07:00' };
  const { facts: before } = read(WALKED, { now: SET_OFF - 24 * 60 * 60_000 });
  const edited = (changed: Typed, now: number, postedSetOffAt: number | null = SET_OFF) =>
    read({ ...WALKED, ...changed }, { before, postedSetOffAt, now });

  it.each([
    ['date', { date: '2026-02-08' }],
    ['gather', { gather: '06:30' }],
    ['setOff', { setOff: '07:30' }],
    ['zone', { zone: 'America/Chicago' }],
  ])('stays from the very instant it sets off on: another %s is refused', (_, changed) => {
    expect(edited(changed, SET_OFF).faults).toEqual({ date: 'This walk has set off. Copy it to another date instead.' });
  });

  it('may change until the last instant before, to one that is to come', () => {
    expect(edited({ date: '2026-02-08' }, SET_OFF - 1).facts?.date).toBe('2026-02-08');
  });

  it('left alone holds nothing up: a slip elsewhere is mended afterwards, too', () => {
    expect(edited({ routeName: 'Quarry Lakes round' }, SET_OFF + 1).facts?.routeName).toBe('Quarry Lakes round');
  });

  it('of a draft that lies in the past can be moved', () => {
    expect(edited({ date: '2026-02-08' }, SET_OFF + 1, null).facts?.date).toBe('2026-02-08');
  });
});
