import { describe, expect, it } from 'vitest';
import { saveSettings } from '../../server/settings/store.js';
import { read } from '../notices/calendar-sample.js';
import { openSite } from '../support/app.js';
import { seasonSite, WEEK_9, words } from './season-site.js';

const HOUR = 60 * 60_000;

async function seen(changed = {}) {
  const found = await seasonSite(changed);
  const plan = async () => words((await found.nobody.get('/plan')).text);
  const home = async () => words((await found.nobody.get('/')).text);
  return { ...found, plan, home };
}

describe('the plan that everyone sees', () => {
  it('says so where there is none, and the timetable says nothing of it', async () => {
    const { plan, home, nobody } = await seen({ eventDayMetres: 0 });
    expect((await nobody.get('/plan')).status).toBe(200);
    expect(await plan()).toContain('There is no season plan yet.');
    expect(await home()).not.toContain('This week of the plan');
    expect((await nobody.get('/')).text).not.toContain('name="week"');
  });

  it('begins with this week, and has the drawing, each week, the start and the cautions', async () => {
    const { nobody, plan } = await seen();
    const { text } = await nobody.get('/plan');
    const shown = await plan();
    expect(shown).toContain('16 weeks to 2 days of 22 mi each, from Sat, Jan 16.');
    expect(shown).toContain('This week of the plan: week 9 of 16 Two weekday walks of 5 mi, Saturday 14.5 mi, Sunday 7 mi.');
    expect(shown).toContain('Before the first walk, be able to walk 9 mi with ease.');
    for (const caution of [
      'See a doctor first',
      'Skip a week, or walk it again',
      'Drink when you are thirsty',
      'study of runners; none of walkers',
      'Local rules',
    ])
      expect(shown).toContain(caution);
    expect(text.match(/<th scope="row">/g)).toHaveLength(16);
    expect(text.match(/aria-current="date"/g)).toHaveLength(1);
    expect(text.indexOf('This week of the plan')).toBeLessThan(text.indexOf('<svg class="way plan"'));
    expect(shown).toMatch(/16 Jan 11\D+17 the event 2 × 2\.5 event event 5/);
  });

  it.each([
    ['the last minute before the season', '2026-09-28T04:00Z', -1, 'The plan begins on Mon, Sep 28, tomorrow'],
    ['its first', '2026-09-28T04:00Z', 0, 'This week of the plan: week 1 of 16'],
    ['the last minute of a Sunday', '2026-11-30T05:00Z', -1, 'This week of the plan: week 9 of 16'],
    ['the first of a Monday', '2026-11-30T05:00Z', 0, 'This week of the plan: week 10 of 16'],
    ['the last minute of the season', '2027-01-18T05:00Z', -1, 'This week of the plan: week 16 of 16'],
    ['the first after it', '2027-01-18T05:00Z', 0, 'The season is over'],
    ['a day long before', '2026-07-01T12:00Z', 0, 'The plan begins on Mon, Sep 28, in 12 weeks'],
    ['thirteen days before', '2026-09-15T12:00Z', 0, 'The plan begins on Mon, Sep 28, in 13 days'],
  ])('knows by the clock of the group’s home which week %s is in', async (_, at, minutes, heading) => {
    const { site, plan, home } = await seen();
    site.clock.now = Date.parse(at) + minutes * 60_000;
    expect(await plan()).toContain(heading);
    if (heading.includes('over')) expect(await home()).not.toContain('The season is over');
    else expect(await home()).toContain(heading);
  });

  it('is asked for again after a week was changed', async () => {
    const { plan, coordinator } = await seen();
    expect(await plan()).toContain('Saturday 14.5 mi');
    await coordinator.post(`/coordinate/season/${WEEK_9}`, { saturday: '12' });
    expect(await plan()).toContain('Saturday 12 mi');
  });

  it('has kinds of weeks in words, and the days of an event that is midweek', async () => {
    const { plan } = await seen({ eventDay: '2027-01-13', eventDays: 1 });
    const shown = await plan();
    expect(shown).toContain('16 weeks to one day of 22 mi, from Wed, Jan 13.');
    for (const kind of ['lighter', 'longest walk', 'shorter, to rest', 'the event']) expect(shown).toContain(kind);
    expect(shown).toMatch(/16 Jan 11\D+17 the event 2\.5 – – 2\.5|16 Jan 11\D+17 the event \d(\.\d+)? – – \d/);
  });

  it('is in the footer of every page', async () => {
    const { nobody } = await seen();
    expect((await nobody.get('/areas')).text).toContain('<a href="/plan">Season plan</a>');
  });
});

describe("the plan's calendar", () => {
  async function days(changed = {}) {
    const found = await seasonSite(changed);
    const events = async () => {
      const answer = await found.nobody.get('/plan.ics');
      expect([answer.status, answer.headers['content-type']]).toEqual([200, 'text/calendar; charset=utf-8']);
      return read(answer.text).events.map((event) => ({
        uid: String(event.getFirstPropertyValue('uid')),
        title: String(event.getFirstPropertyValue('summary')),
        start: String(event.getFirstPropertyValue('dtstart')),
        end: String(event.getFirstPropertyValue('dtend')),
        type: event.getFirstProperty('dtstart')?.type,
        transparency: event.getFirstPropertyValue('transp'),
        sequence: event.getFirstPropertyValue('sequence'),
        stamp: String(event.getFirstPropertyValue('dtstamp')),
        description: String(event.getFirstPropertyValue('description')),
      }));
    };
    return { ...found, events };
  }

  it('has each walk as a whole day that takes no time', async () => {
    const { events } = await days({ planVersion: 3, planChangedAt: Date.UTC(2026, 8, 1, 10) });
    const all = await events();
    expect(all).toHaveLength(32 + 15 + 9);
    expect(new Set(all.map(({ uid }) => uid)).size).toBe(all.length);
    expect(new Set(all.map(({ type, transparency }) => `${type} ${transparency}`))).toEqual(new Set(['date TRANSPARENT']));
    expect(all.find(({ start }) => start === '2026-11-28')).toMatchObject({
      uid: `plan-${WEEK_9}-saturday-1@127.0.0.1`,
      title: '14.5 mi: the long Saturday, week 9 of 16',
      end: '2026-11-29',
      sequence: 3,
      stamp: '2026-09-01T10:00:00Z',
    });
    expect(all.find(({ uid }) => uid.includes(`${WEEK_9}-weekday-2`))?.description).toMatch(
      /Any day from Monday to Friday[\s\S]*\/\?week=9$/,
    );
  });

  it('keeps the mark of a walk whose length or whose event changes, under a higher number', async () => {
    const { events, coordinator, site } = await days();
    const before = await events();
    site.clock.now += HOUR;
    await coordinator.post(`/coordinate/season/${WEEK_9}`, { weekday1: '5', weekday2: '5', saturday: '12', sunday: '7' });
    const after = await events();
    expect(after.map(({ uid }) => uid)).toEqual(before.map(({ uid }) => uid));
    const changed = after.find(({ start }) => start === '2026-11-28');
    expect(changed).toMatchObject({ title: '12 mi: the long Saturday, week 9 of 16', sequence: 1, stamp: '2026-11-25T13:00:00Z' });
    await coordinator.post(`/coordinate/season/${WEEK_9}`, { intent: 'again' });
    expect((await events()).find(({ start }) => start === '2026-11-28')).toMatchObject({
      title: expect.stringContaining('14.5 mi'),
      sequence: 2,
    });
  });

  it('counts kilometres where the group does', async () => {
    const { events } = await days({ units: 'km', eventDayMetres: 35_000 });
    expect((await events())[0]?.title).toMatch(/^\d+(\.5)? km: a weekday walk, week 1 of 16$/);
  });

  it('is an empty calendar where there is no plan', async () => {
    const { events, site } = await days();
    site.db.write((tx) => saveSettings(tx, { eventDay: '' }));
    expect(await events()).toEqual([]);
  });
});

it('a group that has just begun has no plan, and its pages say so', async () => {
  const { app } = await openSite();
  const { statusCode, body } = await app.inject('/plan');
  expect([statusCode, words(body).includes('There is no season plan yet.')]).toEqual([200, true]);
});
