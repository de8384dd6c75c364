import { describe, expect, it } from 'vitest';
import { check, found, IN_KM, keys, MINUTE_MS, northward, other } from './around.js';

const DAY_MS = 24 * 60 * MINUTE_MS;

describe('the landmark', () => {
  it('missing must be mended, all the more in a large place', () => {
    expect(found('landmark', { landmark: ' ' })).toMatchObject({ kind: 'mend', explain: false, title: 'No landmark at the meeting point' });
    expect(found('landmark', { meetingPoint: 'Weir Car Park', landmark: '' })?.title).toBe('No landmark at the meeting point');
    expect(found('landmark', { meetingPoint: 'Millbrook Station', landmark: '' })?.title).toBe(
      'No landmark, and "Millbrook Station" is a large place',
    );
  });

  it.each([
    ['Millbrook Station', 'at the station'],
    ['Lantern Hills Park', 'main entrance'],
    ['Mill Lane Park', 'the park on Mill Lane'],
    ['North Beach', 'on the beach, usual place'],
    ['Weir schools', 'in front of the School'],
    ['Harbour', 'the harbor car park'],
  ])('that only repeats a large place asks to think: %s, %s', (meetingPoint, landmark) => {
    expect(found('landmark', { meetingPoint, landmark })).toMatchObject({ kind: 'think' });
  });

  it.each([
    ['Millbrook Station', 'by the green ticket machine'],
    ['Lantern Hills Park', 'under the clock at the north gate'],
    ['Weir car park', 'by the entrance'],
    ['Corner of Mill Lane', 'at the corner'],
    ['12 Parker Road', 'at the door'],
  ])('that names a spot is fine, and so is a small place: %s, %s', (meetingPoint, landmark) => {
    expect(found('landmark', { meetingPoint, landmark })).toBeUndefined();
  });
});

describe('the map point', () => {
  it('missing asks to think, and says which place the sun times are for', () => {
    expect(found('mappoint', { lat: null })?.why).toContain("for the area's middle");
    expect(found('mappoint', { lat: null, lon: null }, { route: northward(6400) })?.why).toContain("for the route's start");
    expect(found('mappoint')).toBeUndefined();
  });

  it('within 300 m of the start of the route is fine, beyond asks to think', () => {
    // A degree of latitude is some 111.07 km here (WGS84).
    const route = northward(6437);
    expect(found('start', { lat: 41.3 - 0.0027 }, { route })).toBeUndefined();
    expect(found('start', { lat: 41.3 - 0.00271 }, { route })?.title).toBe('The route starts 0.2 mi from the meeting point');
  });
});

describe('gathering', () => {
  it('a minute before setting off is fine, the same minute asks to think, later must be mended', () => {
    expect(keys(check({ gather: '08:59' }))).toEqual([]);
    expect(found('gathering', { gather: '09:00' })).toMatchObject({ kind: 'think', why: 'Nobody has time to arrive and be briefed.' });
    expect(found('gathering', { gather: '09:01' })).toMatchObject({ kind: 'mend', explain: false });
  });
});

describe('the date', () => {
  const gatherAt = Date.UTC(2027, 3, 17, 12, 45);

  it('a moment ahead is fine, now is past', () => {
    expect(found('date', {}, { now: gatherAt - 1 })).toBeUndefined();
    expect(found('date', {}, { now: gatherAt })).toMatchObject({ kind: 'mend' });
    expect(found('date', {}, { now: gatherAt })?.title).toContain('has passed');
  });

  it('a year ahead is fine, more is not', () => {
    expect(found('date', {}, { now: gatherAt - 366 * DAY_MS })).toBeUndefined();
    expect(found('date', {}, { now: gatherAt - 366 * DAY_MS - 1 })).toMatchObject({
      kind: 'mend',
      title: 'Sat, Apr 17, 2027 is more than a year ahead',
    });
  });

  it('of a posted walk may have passed', () => {
    expect(found('date', {}, { now: gatherAt + DAY_MS, when: 'posted' })).toBeUndefined();
  });
});

describe('another walk in the same hours', () => {
  const gatherAt = Date.UTC(2027, 3, 17, 12, 45);
  const ended = (endAt: number, sameLeader = false) => ({
    others: [other({ gatherAt: gatherAt - 3 * 60 * MINUTE_MS, endAt, sameLeader })],
  });

  it('of the area is named with its length; one that ends as this gathers is fine', () => {
    expect(found('areaclash', {}, ended(gatherAt))).toBeUndefined();
    const item = found('areaclash', {}, ended(gatherAt + MINUTE_MS));
    expect(item?.kind).toBe('think');
    expect(item?.title).toContain('Lantern Hills has "6-mile walk: Old kilns, Lantern Hills" (6.0 mi, 5:45');
  });

  it('that gathers as the slowest are back is fine, a minute sooner is not', () => {
    // 4 miles at 24 minutes, and 3 minutes for 30 m of climb (Naismith 1892).
    const back = Date.UTC(2027, 3, 17, 13) + 99 * MINUTE_MS;
    const gathers = (at: number) => ({ others: [other({ gatherAt: at, endAt: at + DAY_MS })] });
    expect(found('areaclash', {}, gathers(back))).toBeUndefined();
    expect(found('areaclash', {}, gathers(back - MINUTE_MS))).toBeDefined();
  });

  it('of the same leader is said once, as that', () => {
    expect(keys(check({}, ended(gatherAt + MINUTE_MS, true)))).toEqual(['ownclash']);
    expect(keys(check({}, ended(gatherAt, true)))).toEqual([]);
  });

  it('in another area with another leader is nothing', () => {
    expect(keys(check({}, { others: [other({ gatherAt, endAt: gatherAt + DAY_MS, sameArea: false })] }))).toEqual([]);
  });

  it('is told on the 24-hour clock and in km where the group reads so', () => {
    expect(found('areaclash', {}, { ...ended(gatherAt + MINUTE_MS), settings: IN_KM })?.title).toContain('(9.7 km, 05:45');
  });
});
