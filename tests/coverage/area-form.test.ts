import { describe, expect, it } from 'vitest';
import { readArea } from '../../server/areas/form.js';
import { areaBySlug } from '../../server/areas/store.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';

const TYPED = { name: 'Millbrook', zone: 'America/New_York', emergencyNumber: '911', lat: '41', lon: '-85', radius: '10', floor: '' };
const WISH = { weekdayWalks: 2, saturdayWalks: 3, sundayWalks: 0, lengthTolerance: 0.125 };

describe('what an area wants', () => {
  it('is one walk of each kind and the tolerance of the group, where nothing is said', () => {
    expect(readArea(TYPED, 'mi')).toMatchObject({ area: { weekdayWalks: 1, saturdayWalks: 1, sundayWalks: 1, lengthTolerance: null } });
  });

  it('stays where an older form does not ask, and to the last decimal where it was not touched', () => {
    expect(readArea(TYPED, 'mi', WISH)).toMatchObject({ area: WISH });
    expect(readArea({ ...TYPED, tolerance: '13' }, 'mi', WISH)).toMatchObject({ area: { lengthTolerance: 0.125 } });
    expect(readArea({ ...TYPED, tolerance: '' }, 'mi', WISH)).toMatchObject({ area: { lengthTolerance: null } });
  });

  it.each([
    ['weekdayWalks', '4', '5'],
    ['saturdayWalks', '3', '4'],
    ['sundayWalks', '3', '4'],
    ['weekdayWalks', '0', '-1'],
    ['saturdayWalks', '0', ''],
    ['sundayWalks', '0', '1.5'],
    ['tolerance', '5', '4'],
    ['tolerance', '50', '51'],
    ['tolerance', '', 'a lot'],
  ])('takes %s "%s" and refuses "%s"', (field, right, wrong) => {
    expect(readArea({ ...TYPED, [field]: right }, 'mi')).toHaveProperty('area');
    const read = readArea({ ...TYPED, [field]: wrong }, 'mi');
    expect('faults' in read && Object.keys(read.faults)).toEqual([field]);
  });

  it('is shown as it stands, kept when saved, and typed again when refused', async () => {
    const site = await openSite();
    const coordinator = layCast(site).browser('coordinator');
    const path = '/coordinate/areas/lantern-hills';
    const fields = formFields((await coordinator.get(path)).text) as Record<string, string>;
    expect(fields).toMatchObject({ weekdayWalks: '1', saturdayWalks: '1', sundayWalks: '1', tolerance: '' });
    const refused = await coordinator.post(path, { ...fields, weekdayWalks: '9', tolerance: '20' });
    expect([refused.status, formFields(refused.text)]).toMatchObject([422, { weekdayWalks: '9', tolerance: '20' }]);
    expect(refused.text).toContain('On weekdays: Type how many walks: 0 to 4.');
    expect((await coordinator.post(path, { ...fields, weekdayWalks: '2', sundayWalks: '0', tolerance: '20' })).status).toBe(303);
    const saved = { weekdayWalks: 2, saturdayWalks: 1, sundayWalks: 0, lengthTolerance: 0.2 };
    expect(areaBySlug(site.db.q, 'lantern-hills')).toMatchObject(saved);
    expect(formFields((await coordinator.get(path)).text)).toMatchObject({ weekdayWalks: '2', sundayWalks: '0', tolerance: '20' });
  });
});
