import { describe, expect, it } from 'vitest';
import { readSeason, typedSeason } from '../../server/plan/season-form.js';
import { groupSettings } from '../../server/settings/rules.js';
import { formFields } from '../support/fields.js';
import { SEASON, seasonSite, WEEK_9, words } from './season-site.js';

const PAGE = '/coordinate/season';
const NOW = groupSettings.parse({ groupName: 'Harrow Fells Walkers', ...SEASON });

async function opened(changed = {}) {
  const found = await seasonSite(changed);
  const form = async () => formFields((await found.coordinator.get(PAGE)).text) as Record<string, string>;
  return { ...found, form };
}

describe("the season's form", () => {
  it('reads back as it stands, in miles and in kilometres', () => {
    const { eventName, eventDay, eventDays, eventDayMetres, seasonWeeks, weekdayWalks, slotToleranceShare, slotToleranceMetres } = NOW;
    const season = {
      eventName,
      eventDay,
      eventDays,
      eventDayMetres,
      seasonWeeks,
      weekdayWalks,
      slotToleranceShare,
      slotToleranceMetres,
    };
    for (const units of ['mi', 'km'] as const) {
      const now = { ...NOW, units };
      expect(readSeason(typedSeason(now), now)).toEqual({ season });
      expect(readSeason({}, now)).toEqual({ season });
    }
    expect(typedSeason(NOW)).toMatchObject({ dayLength: '22', toleranceShare: '15', toleranceLength: '1' });
    expect(typedSeason({ ...NOW, units: 'km' })).toMatchObject({ dayLength: '35.41', toleranceLength: '1.61' });
  });

  it.each([
    ['dayLength', '5', { eventDayMetres: 8047 }],
    ['dayLength', '40', { eventDayMetres: 64_374 }],
    ['dayLength', '21.5', { eventDayMetres: 34_601 }],
    ['dayLength', '', { eventDayMetres: 0 }],
    ['seasonWeeks', '8', { seasonWeeks: 8 }],
    ['seasonWeeks', '36', { seasonWeeks: 36 }],
    ['weekdayWalks', '0', { weekdayWalks: 0 }],
    ['weekdayWalks', '4', { weekdayWalks: 4 }],
    ['eventDays', '30', { eventDays: 30 }],
    ['toleranceShare', '0', { slotToleranceShare: 0 }],
    ['toleranceShare', '50', { slotToleranceShare: 0.5 }],
    ['toleranceLength', '0', { slotToleranceMetres: 0 }],
    ['toleranceLength', '10', { slotToleranceMetres: 16_093 }],
    ['eventDay', '2000-01-01', { eventDay: '2000-01-01' }],
    ['eventDay', '2199-12-31', { eventDay: '2199-12-31' }],
  ])('takes %s "%s"', (field, value, season) => {
    expect(readSeason({ ...typedSeason(NOW), [field]: value }, NOW)).toMatchObject({ season });
  });

  it.each([
    ['eventDay', '2027-02-30'],
    ['eventDay', '1999-12-31'],
    ['eventDay', '2200-01-01'],
    ['eventDay', ''],
    ['eventDays', '0'],
    ['eventDays', '31'],
    ['dayLength', '4.9'],
    ['dayLength', '40.1'],
    ['dayLength', 'far'],
    ['dayLength', '-22'],
    ['seasonWeeks', '7'],
    ['seasonWeeks', '37'],
    ['seasonWeeks', ''],
    ['weekdayWalks', '5'],
    ['weekdayWalks', '-1'],
    ['toleranceShare', '51'],
    ['toleranceShare', '1.5'],
    ['toleranceLength', '10.1'],
    ['toleranceLength', ''],
    ['eventName', 'n'.repeat(81)],
  ])('refuses %s "%s", keeps what was typed and changes nothing', async (field, value) => {
    const { site, coordinator, form, log } = await opened();
    const typed = { ...(await form()), toleranceShare: '20', [field]: value };
    const refused = await coordinator.post(PAGE, typed);
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('<title>Error: ');
    expect(refused.text).toContain(`href="#${field}"`);
    const back = formFields(refused.text);
    // A list has only what it offers; the rest comes back as typed.
    if (!['seasonWeeks', 'weekdayWalks'].includes(field))
      expect(back).toMatchObject({ toleranceShare: typed.toleranceShare, [field]: value });
    expect([site.services.settings().eventDayMetres, log('season')]).toEqual([SEASON.eventDayMetres, []]);
  });

  it('takes kilometres where the group counts so', async () => {
    const { site, coordinator, form } = await opened({ units: 'km', eventDayMetres: 0 });
    expect((await coordinator.post(PAGE, { ...(await form()), dayLength: '35' })).status).toBe(303);
    expect(site.services.settings().eventDayMetres).toBe(35_000);
    const { text } = await coordinator.get(PAGE);
    expect(words(text)).toMatch(/Before the first walk, be able to walk \d+(\.5)? km with ease/);
    expect(formFields(text)).toMatchObject({ dayLength: '35' });
  });
});

describe('what a coordinator sees of the season', () => {
  it('is, once saved, what the plan asks for at the start, the drawing and each week', async () => {
    const { site, coordinator, form, cast, log } = await opened({ eventDayMetres: 0 });
    const before = await coordinator.get(PAGE);
    expect(before.text).not.toContain('plan-weeks');
    expect(words(before.text)).toContain('There is no plan yet');
    const answer = await coordinator.post(PAGE, { ...(await form()), dayLength: '22' });
    expect([answer.status, answer.headers.location]).toEqual([303, `${PAGE}?saved=1`]);
    const { text } = await coordinator.get(`${PAGE}?saved=1`);
    expect(words(text)).toContain('Saved. Before the first walk, be able to walk 9 mi with ease.');
    expect(text.match(/<a href="\/coordinate\/season\/\d{4}-\d\d-\d\d">/g)).toHaveLength(16);
    expect(words(text)).toContain('9 Nov 23 – 29 Change week 9, this week 2 × 5 14.5 7 31.5'.replaceAll(' – ', ' – '));
    expect(text).toContain('<svg class="way plan"');
    expect(log('season')).toEqual([{ personId: cast.ids.coordinator, action: 'changed the season' }]);
    expect(site.services.settings()).toMatchObject({ planVersion: 1, planChangedAt: site.clock.now });
  });

  it('is a version of the plan more for what the plan is worked out from, and none for the rest', async () => {
    const { site, coordinator, form } = await opened();
    await coordinator.post(PAGE, { ...(await form()), toleranceShare: '20' });
    expect(site.services.settings()).toMatchObject({ planVersion: 0, slotToleranceShare: 0.2 });
    await coordinator.post(PAGE, { ...(await form()), weekdayWalks: '3' });
    expect(site.services.settings().planVersion).toBe(1);
  });

  it('refuses the second of two who save at once, shows what the first set, and takes it when it is sent again', async () => {
    const { site, coordinator, form, log } = await opened();
    const opening = await form();
    await coordinator.post(PAGE, { ...opening, dayLength: '20' });
    const second = { ...opening, dayLength: '25', eventName: 'Three <Rivers>' };
    const refused = await coordinator.post(PAGE, second);
    expect(refused.status).toBe(422);
    expect(words(refused.text)).toContain('someone changed the season while you were writing');
    expect(words(refused.text)).toContain('Length of a day: 20');
    const again = formFields(refused.text) as Record<string, string>;
    expect(again).toMatchObject({ dayLength: '25', eventName: 'Three <Rivers>' });
    expect(log('season')).toHaveLength(1);
    expect((await coordinator.post(PAGE, again)).status).toBe(303);
    expect(site.services.settings().eventName).toBe('Three <Rivers>');
  });

  it('takes the same form twice without another line in the log', async () => {
    const { coordinator, form, log } = await opened();
    const typed = { ...(await form()), dayLength: '20' };
    for (let times = 0; times < 2; times += 1) expect((await coordinator.post(PAGE, typed)).status).toBe(303);
    expect(log('season')).toHaveLength(1);
  });

  it('says that weeks set by hand belong to another first day, once it was moved', async () => {
    const { coordinator, form } = await opened();
    await coordinator.post(`${PAGE}/${WEEK_9}`, { saturday: '12' });
    await coordinator.post(PAGE, { ...(await form()), eventDay: '2027-01-23' });
    const moved = words((await coordinator.get(PAGE)).text);
    expect(moved).toContain('One week set by hand for another first day of the event');
    expect(moved).not.toContain(' set by hand 2');
    await coordinator.post(PAGE, { ...(await form()), eventDay: SEASON.eventDay });
    expect(words((await coordinator.get(PAGE)).text)).toContain('this week, set by hand – 12 – 12');
  });
});

describe("the settings' form from before", () => {
  const typedBefore = { eventName: 'Ridge Day', eventDay: '2027-05-01', eventDays: '1' };

  it('still sets the event, and shows its fields again where it is refused', async () => {
    const { site, coordinator } = await opened();
    const fields = formFields((await coordinator.get('/coordinate/settings')).text);
    expect(Object.keys(fields)).not.toContain('eventDay');
    const refused = await coordinator.post('/coordinate/settings', { ...fields, ...typedBefore, eventDay: '2027-02-30' });
    expect(refused.status).toBe(422);
    expect(formFields(refused.text)).toMatchObject({ ...typedBefore, eventDay: '2027-02-30' });
    expect((await coordinator.post('/coordinate/settings', { ...fields, ...typedBefore })).status).toBe(303);
    expect(site.services.settings()).toMatchObject({ eventDay: '2027-05-01', eventDays: 1, planVersion: 1, eventSetAt: site.clock.now });
  });

  it('without them leaves the season as it is', async () => {
    const { site, coordinator } = await opened();
    const fields = formFields((await coordinator.get('/coordinate/settings')).text);
    expect((await coordinator.post('/coordinate/settings', { ...fields, groupName: 'Other Walkers' })).status).toBe(303);
    expect(site.services.settings()).toMatchObject({ groupName: 'Other Walkers', ...SEASON, planVersion: 0 });
  });

  it('keeps to a unit in which the season can be planned', async () => {
    const { site, coordinator } = await opened({ units: 'km', eventDayMetres: 65_000 });
    const fields = formFields((await coordinator.get('/coordinate/settings')).text);
    const refused = await coordinator.post('/coordinate/settings', { ...fields, units: 'mi' });
    expect(refused.status).toBe(422);
    expect(words(refused.text)).toContain('Distances: The season plan takes days of 5 to 40 mi.');
    expect(site.services.settings().units).toBe('km');
  });
});
