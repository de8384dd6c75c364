import { describe, expect, it } from 'vitest';
import { readAbout, readApplication } from '../../server/joining/form.js';
import { dayNames } from '../../server/joining/weekdays.js';
import { APPLY } from './stage.js';

const AREAS = [
  { id: 1, slug: 'lantern-hills' },
  { id: 2, slug: 'east-fork' },
];
const AROUND = { areas: AREAS, units: 'mi', locale: 'en-US' } as const;

describe('an application', () => {
  it('is read as it was meant', () => {
    expect(readApplication(APPLY, AROUND)).toEqual({
      form: {
        name: 'Wendel Ames',
        phone: '+12025550147',
        areaId: 1,
        why: APPLY.why,
        days: [6, 7],
        longestMetres: 20_117,
        otherAreas: [2],
      },
    });
  });

  it('takes lengths in the unit of the group, and no area twice', () => {
    const read = readApplication({ ...APPLY, longest: '12,5', otherAreas: ['lantern-hills', 'nowhere'] }, { ...AROUND, units: 'km' });
    expect(read).toMatchObject({ form: { longestMetres: 12_500, otherAreas: [] } });
  });

  it.each([
    ['name', { name: ' 7 ' }],
    ['name', { name: 'x'.repeat(81) }],
    ['phone', { phone: '12' }],
    ['area', { area: 'nowhere' }],
    ['why', { why: '…' }],
    ['why', { why: 'x'.repeat(2001) }],
    ['days', { days: ['0', '8', 'x'] }],
    ['longest', { longest: '' }],
    ['longest', { longest: '0' }],
    ['longest', { longest: '63' }],
  ])('is refused at %s', (field, changed) => {
    const read = readApplication({ ...APPLY, ...changed }, AROUND);
    expect('faults' in read && Object.keys(read.faults)).toEqual([field]);
  });
});

describe('what a leader says of themself', () => {
  it('may leave out all but the home area', () => {
    expect(readAbout({ area: 'east-fork' }, AROUND)).toEqual({
      form: { areaId: 2, otherAreas: [], days: [], longestMetres: null, shortestMetres: null, firstAidUntil: null, offersFirst: false },
    });
  });

  it('is refused where the shortest is longer than the longest, or a date is none', () => {
    const read = readAbout({ area: 'east-fork', shortest: '9', longest: '8', firstAidUntil: '2027-02-30' }, AROUND);
    expect('faults' in read && Object.keys(read.faults)).toEqual(['shortest', 'firstAidUntil']);
    expect('form' in readAbout({ area: 'east-fork', shortest: '8', longest: '8' }, AROUND)).toBe(true);
  });

  it('names days in the order of the week', () => {
    expect([[], [6], [6, 7], [1, 3, 5], [1, 2, 3, 4, 5, 6, 7]].map(dayNames)).toEqual([
      '',
      'Saturday',
      'Saturday and Sunday',
      'Monday, Wednesday and Friday',
      'any day',
    ]);
  });
});
