import { describe, expect, it } from 'vitest';
import { planWeeks } from '../../server/db/schema/index.js';
import { saveSettings } from '../../server/settings/store.js';
import { formFields } from '../support/fields.js';
import { SEASON, seasonSite, WEEK_9, words } from './season-site.js';

const PAGE = '/coordinate/season';
const WEEK = `${PAGE}/${WEEK_9}`;
/** Week 16 has the event on its Saturday. */
const EVENT_WEEK = `${PAGE}/2027-01-11`;

async function opened(changed = {}) {
  const found = await seasonSite(changed);
  const form = async (path = WEEK) => formFields((await found.coordinator.get(path)).text) as Record<string, string>;
  const rows = () => found.site.db.q.select().from(planWeeks).all();
  const season = async () => words((await found.coordinator.get(PAGE)).text);
  return { ...found, form, rows, season };
}

describe('a week of the season', () => {
  it('opens with its lengths, and a field for each walk it may have', async () => {
    const { coordinator, form } = await opened();
    const { seen: _, csrf: __, ...fields } = await form();
    expect(fields).toEqual({ weekday1: '5', weekday2: '5', weekday3: '', weekday4: '', saturday: '14.5', sunday: '7' });
    const shown = words((await coordinator.get(WEEK)).text);
    expect(shown).toContain('Worked out: two weekday walks of 5 mi, Saturday 14.5 mi, Sunday 7 mi.');
    expect(shown).toContain('Week 8: two weekday walks of 3.5 mi, Saturday 10 mi, Sunday 4 mi.');
  });

  it('is kept as it is typed, empty as no walk, and shown to everyone', async () => {
    const { coordinator, nobody, form, rows, season, cast, site } = await opened();
    await nobody.get('/plan');
    const answer = await coordinator.post(WEEK, {
      ...(await form()),
      weekday1: '4',
      weekday2: '',
      weekday4: '5.25',
      saturday: '13,5',
      sunday: '',
    });
    expect([answer.status, answer.headers.location]).toEqual([303, `${PAGE}?week=${WEEK_9}#weeks`]);
    expect(rows()).toEqual([
      {
        eventDay: SEASON.eventDay,
        weekFrom: WEEK_9,
        weekdayMetres: [6437, 8449],
        saturdayMetres: 21_726,
        sundayMetres: null,
        changedAt: site.clock.now,
        changedBy: cast.ids.coordinator,
      },
    ]);
    expect(await season()).toContain('this week, set by hand 4 + 5.25 13.5 – 22.75');
    expect(words((await nobody.get('/plan')).text)).toContain('Weekday walks of 4 mi and 5.25 mi, Saturday 13.5 mi.');
    expect(words((await coordinator.get(`${PAGE}?week=${WEEK_9}`)).text)).toContain('Week 9 is saved.');
  });

  it('says beside the week what is to be thought about, and keeps it all the same', async () => {
    const { coordinator, form, season, rows } = await opened();
    await coordinator.post(WEEK, { ...(await form()), saturday: '30' });
    expect(await season()).toContain(
      'Think Week 9, Saturday: 30 mi is more than 10 % longer than the longest walk of the 30 days before it.',
    );
    expect(words((await coordinator.get(WEEK)).text)).toContain('Think: Week 9, Saturday: 30 mi is more than 10 % longer');
    expect(rows()).toHaveLength(1);
    await coordinator.post(WEEK, { ...(await form()), saturday: '14.5', sunday: '6.5' });
    expect(rows()).toHaveLength(1);
    expect(await season()).not.toContain('Think');
  });

  it('may have no walks at all', async () => {
    const { coordinator, nobody, form } = await opened();
    const none = { weekday1: '', weekday2: '', saturday: '', sunday: '' };
    expect((await coordinator.post(WEEK, { ...(await form()), ...none })).status).toBe(303);
    expect(words((await nobody.get('/plan')).text)).toContain('week 9 of 16 No walks.');
    expect((await nobody.get('/')).text).not.toContain('href="/?week=9"');
    const asked = await nobody.get('/?week=9');
    expect([asked.status, words(asked.text).includes('No coming walk fits all of that.')]).toEqual([200, true]);
  });

  it('is worked out again when it is asked to be, or set to just that', async () => {
    const { coordinator, form, rows, log } = await opened();
    await coordinator.post(WEEK, { ...(await form()), saturday: '12' });
    await coordinator.post(WEEK, { ...(await form()), saturday: 'x', intent: 'again' });
    expect(rows()).toEqual([]);
    await coordinator.post(WEEK, { ...(await form()), saturday: '12' });
    await coordinator.post(WEEK, { ...(await form()), saturday: '14.50' });
    expect(rows()).toEqual([]);
    await coordinator.post(WEEK, await form());
    await coordinator.post(WEEK, { intent: 'again' });
    expect(log(`plan:${WEEK_9}`)).toHaveLength(4);
  });

  it.each([
    ['saturday', '0.4'],
    ['saturday', '40.1'],
    ['sunday', 'far'],
    ['weekday3', '-1'],
  ])('refuses %s "%s", and keeps what was typed', async (field, value) => {
    const { coordinator, form, rows } = await opened();
    const typed = { ...(await form()), weekday1: '4', [field]: value };
    const refused = await coordinator.post(WEEK, typed);
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('<title>Error: ');
    expect(refused.text).toContain(`href="#${field}"`);
    expect(formFields(refused.text)).toMatchObject({ weekday1: '4', [field]: value });
    expect(rows()).toEqual([]);
  });

  it.each([
    ['saturday', '0.5', 805],
    ['saturday', '40', 64_374],
  ])('takes %s "%s"', async (field, value, metres) => {
    const { coordinator, form, rows } = await opened();
    expect((await coordinator.post(WEEK, { ...(await form()), [field]: value })).status).toBe(303);
    expect(rows()[0]?.saturdayMetres).toBe(metres);
  });

  it('takes kilometres where the group counts so', async () => {
    const { coordinator, form, rows, season } = await opened({ units: 'km', eventDayMetres: 35_000 });
    expect((await coordinator.post(WEEK, { ...(await form()), saturday: '21.5' })).status).toBe(303);
    expect(rows()[0]?.saturdayMetres).toBe(21_500);
    expect(await season()).toMatch(/this week, set by hand 2 × \d+(\.5)? 21\.5 /);
  });

  it('refuses the second of two who change it at once, shows what the first set, and takes it when it is sent again', async () => {
    const { coordinator, form, rows } = await opened();
    const opening = await form();
    await coordinator.post(WEEK, { ...opening, saturday: '12' });
    const refused = await coordinator.post(WEEK, { ...opening, saturday: '13' });
    expect(refused.status).toBe(422);
    expect(words(refused.text)).toContain('It now has two weekday walks of 5 mi, Saturday 12 mi, Sunday 7 mi.');
    const again = formFields(refused.text) as Record<string, string>;
    expect(again.saturday).toBe('13');
    expect(rows()[0]?.saturdayMetres).toBe(19_312);
    expect((await coordinator.post(WEEK, again)).status).toBe(303);
    expect(rows()[0]?.saturdayMetres).toBe(20_921);
  });

  it('takes the same form twice without another line in the log', async () => {
    const { coordinator, form, log } = await opened();
    const typed = { ...(await form()), saturday: '12' };
    for (let times = 0; times < 2; times += 1) expect((await coordinator.post(WEEK, typed)).status).toBe(303);
    expect(log(`plan:${WEEK_9}`)).toHaveLength(1);
  });

  it('of the event keeps it and the day before it free, whatever is sent', async () => {
    const { coordinator, form, rows } = await opened();
    expect(Object.keys(await form(EVENT_WEEK))).toEqual(['csrf', 'seen', 'weekday1', 'weekday2', 'weekday3', 'weekday4']);
    await coordinator.post(EVENT_WEEK, { ...(await form(EVENT_WEEK)), weekday1: '2', saturday: '22', sunday: '22' });
    expect(rows()[0]).toMatchObject({ saturdayMetres: null, sundayMetres: null });
  });

  it.each(['2026-11-24', '2026-09-21', '2027-01-18', '9', 'x', '%00'])('is not at %s', async (week) => {
    const { coordinator } = await opened();
    expect((await coordinator.get(`${PAGE}/${week}`)).status).toBe(404);
    expect((await coordinator.post(`${PAGE}/${week}`, { saturday: '12' })).status).toBe(404);
  });

  it('is nowhere where there is no plan', async () => {
    const { site, coordinator } = await opened();
    site.db.write((tx) => saveSettings(tx, { eventDayMetres: 0 }));
    expect((await coordinator.get(WEEK)).status).toBe(404);
  });
});
