import { describe, expect, it } from 'vitest';
import { type FirstRunValues, readFirstRun } from '../../server/people/first-run-form.js';

const GOOD: FirstRunValues = {
  code: 'ABCD',
  groupName: 'Harrow Fells Walkers',
  locale: 'en-US',
  units: 'mi',
  clock: '12',
  name: 'Ana Lopez',
  email: 'Ana@Walkers.example',
  phone: '(202) 555-0123',
  areaName: 'Lantern Hills',
  zone: 'America/New_York',
  lat: '40.1',
  lon: '-75.2',
  radius: '10',
  emergencyNumber: '911',
};

function read(changes: Partial<FirstRunValues>) {
  return readFirstRun({ ...GOOD, ...changes });
}

describe('the first-run form', () => {
  it('gives group, person and area', () => {
    expect(read({})).toEqual({
      first: {
        group: { groupName: 'Harrow Fells Walkers', locale: 'en-US', units: 'mi', clock: 12 },
        person: { name: 'Ana Lopez', email: 'ana@walkers.example', phone: '+12025550123' },
        area: {
          name: 'Lantern Hills',
          zone: 'America/New_York',
          lat: 40.1,
          lon: -75.2,
          radiusMetres: 16093,
          emergencyNumber: '911',
          floorWalks: null,
          weekdayWalks: 1,
          saturdayWalks: 1,
          sundayWalks: 1,
          lengthTolerance: null,
        },
      },
    });
  });

  it('takes the radius in the unit chosen, and needs no phone', () => {
    const first = { group: { units: 'km', clock: 24 }, person: { phone: null }, area: { radiusMetres: 10_000 } };
    expect(read({ units: 'km', clock: '24', phone: '' })).toMatchObject({ first });
  });

  it.each([
    ['groupName', ''],
    ['groupName', 'a'.repeat(81)],
    ['name', ''],
    ['email', 'ana'],
    ['phone', '911'],
    ['areaName', ''],
    ['zone', ''],
    ['zone', 'EST'],
    ['zone', '+05:00'],
    ['zone', 'Harrow/Fells'],
    ['lat', ''],
    ['lat', '90.0001'],
    ['lat', 'north'],
    ['lon', '-180.1'],
    ['radius', '0'],
    ['radius', '-1'],
    ['radius', '1e9'],
    ['emergencyNumber', ''],
    ['emergencyNumber', 'help'],
  ] as const)('points at %s when it is %j', (field, value) => {
    const checked = read({ [field]: value });
    expect('faults' in checked && Object.keys(checked.faults)).toEqual([field]);
  });
});
