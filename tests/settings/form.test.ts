import { describe, expect, it } from 'vitest';
import { readSettings, typedSettings } from '../../server/settings/form.js';
import { groupSettings } from '../../server/settings/rules.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';

const NOW = groupSettings.parse({ groupName: 'Harrow Fells Walkers' });

describe('the settings of the group', () => {
  it('read back as they stand', () => {
    expect(readSettings(typedSettings(NOW), NOW)).toEqual({ settings: NOW });
  });

  it.each([
    ['groupName', ''],
    ['eventDay', '2027-02-30'],
    ['slowPace', '14'],
    ['fastPace', '7'],
    ['floorWalks', 'two'],
    ['hold', '61'],
    ['locale', 'xx-YY'],
  ])('refuse %s "%s"', (field, value) => {
    const read = readSettings({ ...typedSettings(NOW), [field]: value }, NOW);
    expect('faults' in read && Object.keys(read.faults)).toEqual([field]);
  });

  it('take the pace in minutes a kilometre where the group counts so, and leave what was not touched as it was', () => {
    const km = { ...NOW, units: 'km' as const };
    expect(typedSettings(km)).toMatchObject({ fastPace: '9.3', slowPace: '14.9' });
    expect(readSettings(typedSettings(km), km)).toEqual({ settings: km });
    const read = readSettings({ ...typedSettings(km), slowPace: '15' }, km);
    expect('settings' in read && read.settings.slowPace).toBeCloseTo(24.14, 2);
    expect('settings' in read && read.settings.fastPace).toBe(NOW.fastPace);
    const refused = readSettings({ ...typedSettings(km), fastPace: '4' }, km);
    expect('faults' in refused && refused.faults.fastPace).toBe('Type minutes a kilometre: 5 to 37.');
  });

  it('change what every page says from the next moment on', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const [coordinator, nobody] = [cast.browser('coordinator'), cast.browser('nobody')];
    expect((await nobody.get('/')).text).toContain('8.2</b> <small>mi');
    const fields = formFields((await coordinator.get('/coordinate/settings')).text);
    expect((await coordinator.post('/coordinate/settings', { ...fields, units: 'km', clock: '24' })).status).toBe(303);
    expect((await nobody.get('/')).text).toContain('13.2</b> <small>km');
  });
});
