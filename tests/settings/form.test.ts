import { describe, expect, it } from 'vitest';
import { LATER_FIELDS, readSettings, typedSettings } from '../../server/settings/form.js';
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
    ['eventDays', '0'],
    ['eventDays', '31'],
    ['eventDays', ''],
    ['commitmentDay', '29'],
    ['commitmentDay', '-1'],
    ['commitmentDay', ''],
    ['contactsFromHours', '0'],
    ['contactsFromHours', '73'],
    ['contactsUntilHours', '0'],
    ['contactsUntilHours', '169'],
    ['contactsKeptDays', '0'],
    ['contactsKeptDays', '366'],
    ['quizQuestions', '0'],
    ['quizQuestions', '51'],
    ['quizPassPercent', '0'],
    ['quizPassPercent', '101'],
    ['quizPassPercent', '79.5'],
    ['agreementMonths', '0'],
    ['agreementMonths', '37'],
    ['overPledge', '-1'],
    ['overPledge', '11'],
    ['farthest', '500.5'],
    ['farthest', 'far'],
    ['farthest', ''],
  ])('refuse %s "%s"', (field, value) => {
    const read = readSettings({ ...typedSettings(NOW), [field]: value }, NOW);
    expect('faults' in read && Object.keys(read.faults)).toEqual([field]);
  });

  it('take the least and the most', () => {
    const least = {
      eventDays: '1',
      commitmentDay: '0',
      contactsFromHours: '1',
      contactsUntilHours: '1',
      contactsKeptDays: '1',
      quizQuestions: '1',
      quizPassPercent: '1',
      agreementMonths: '1',
      overPledge: '0',
    };
    const most = {
      eventDays: '30',
      commitmentDay: '28',
      contactsFromHours: '72',
      contactsUntilHours: '168',
      contactsKeptDays: '365',
      quizQuestions: '50',
      quizPassPercent: '100',
      agreementMonths: '36',
      overPledge: '10',
    };
    for (const typed of [least, most]) {
      const read = readSettings({ ...typedSettings(NOW), ...typed }, NOW);
      const numbers = Object.fromEntries(Object.entries(typed).map(([field, value]) => [field, Number(value)]));
      expect(read).toEqual({ settings: { ...NOW, ...numbers } });
    }
  });

  it('keep what a form from before these fields does not say', () => {
    const now = {
      ...NOW,
      eventDays: 3,
      commitmentDay: 12,
      contactsFromHours: 6,
      contactsUntilHours: 48,
      contactsKeptDays: 90,
      quizQuestions: 12,
      quizPassPercent: 70,
      agreementMonths: 6,
      overPledge: 3,
    };
    const older = Object.fromEntries(Object.entries(typedSettings(now)).filter(([field]) => !(LATER_FIELDS as string[]).includes(field)));
    expect(readSettings(older, now)).toEqual({ settings: now });
  });

  it('take how far and how often a leader may be proposed, and keep it to the metre where it was not touched', () => {
    const read = (typed: Record<string, string>, now = NOW) => {
      const found = readSettings({ ...typedSettings(now), ...typed }, now);
      return 'settings' in found ? [found.settings.oneAWeekend, found.settings.farthestMetres] : found;
    };
    expect(read({ oneAWeekend: 'no', farthest: '500' })).toEqual([false, 804_672]);
    expect(read({ oneAWeekend: 'yes', farthest: '0' }, { ...NOW, oneAWeekend: false })).toEqual([true, 0]);
    expect(read({}, { ...NOW, farthestMetres: 59_999 })).toEqual([true, 59_999]);
    const { oneAWeekend: _, farthest: __, ...older } = typedSettings({ ...NOW, oneAWeekend: false, farthestMetres: 7 });
    expect(readSettings(older, { ...NOW, oneAWeekend: false, farthestMetres: 7 })).toMatchObject({
      settings: { oneAWeekend: false, farthestMetres: 7 },
    });
  });

  it('keep emergency details for as long as leaders may open them', () => {
    const read = (days: string) => readSettings({ ...typedSettings(NOW), contactsUntilHours: '49', contactsKeptDays: days }, NOW);
    const refused = read('2');
    expect('faults' in refused && refused.faults).toEqual({
      contactsKeptDays: 'Keep them as long as leaders may open them: 3 days at least.',
    });
    expect('settings' in read('3')).toBe(true);
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

  it('a refused form from before these fields shows them as they stand', async () => {
    const site = await openSite();
    const coordinator = layCast(site).browser('coordinator');
    const fields = formFields((await coordinator.get('/coordinate/settings')).text);
    expect(fields).toMatchObject({ contactsFromHours: '24', contactsUntilHours: '24', contactsKeptDays: '30' });
    const { contactsKeptDays: _, ...older } = fields;
    const refused = await coordinator.post('/coordinate/settings', { ...older, groupName: '', contactsFromHours: 'soon' });
    expect(refused.status).toBe(422);
    expect(formFields(refused.text)).toMatchObject({ contactsFromHours: 'soon', contactsKeptDays: '30' });
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
