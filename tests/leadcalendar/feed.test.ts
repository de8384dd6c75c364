import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { leaders, walks } from '../../server/db/schema/index.js';
import { standDown } from '../../server/leaders/store.js';
import { saveSettings } from '../../server/settings/store.js';
import { keepSignUp } from '../../server/signups/store.js';
import { cancelWalk, saveNewWalk } from '../../server/walks/save.js';
import { read } from '../notices/calendar-sample.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast, walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { signUpForm } from '../support/sign-up.js';

const DAY = 24 * 60 * 60_000;

let site: TestSite;
let cast: Cast;
beforeEach(async () => {
  site = await openSite();
  cast = layCast(site);
});

const browser = () => cast.browser('leader');

/** The address as the page shows it, without the host. */
async function shown(): Promise<string> {
  const { text } = await browser().get('/lead/calendar');
  return new URL(/id="address" type="url" value="([^"]+)"/.exec(text)?.[1] ?? 'http://none/').pathname;
}

/** Makes an address as the page's form does. */
async function made(): Promise<string> {
  const of = String(formFields((await browser().get('/lead/calendar')).text).of);
  const answer = await browser().post('/lead/calendar/new', { of });
  expect([answer.status, answer.headers.location]).toEqual([303, '/lead/calendar']);
  return shown();
}

async function fetched(address: string, headers: Record<string, string> = {}) {
  const answer = await site.app.inject({ url: address, headers });
  return { status: answer.statusCode, headers: answer.headers, body: answer.body };
}

async function events(address: string) {
  const { status, body } = await fetched(address);
  expect(status).toBe(200);
  return read(body).events.map((event) => ({
    uid: String(event.getFirstPropertyValue('uid')),
    title: String(event.getFirstPropertyValue('summary')),
    status: event.getFirstPropertyValue('status'),
    sequence: event.getFirstPropertyValue('sequence'),
    start: String(event.getFirstPropertyValue('dtstart')),
    end: String(event.getFirstPropertyValue('dtend')),
    type: event.getFirstProperty('dtstart')?.type,
    transparency: event.getFirstPropertyValue('transp'),
    url: String(event.getFirstPropertyValue('url')),
    description: String(event.getFirstPropertyValue('description')),
  }));
}

const ofWalks = async (address: string) => (await events(address)).filter((one) => one.type === 'date-time');
const ofNeeds = async (address: string) => (await events(address)).filter((one) => one.type === 'date');

describe("the address of a leader's calendar", () => {
  it('is made when it is asked for, and shown again', async () => {
    expect(await shown()).toBe('/');
    const address = await made();
    expect(address).toMatch(/^\/lead\/calendar\/[\w-]{43}\.ics$/);
    expect(await shown()).toBe(address);
    expect((await fetched(address)).status).toBe(200);
    const table = site.db.raw.prepare('SELECT * FROM calendar_feeds').all();
    expect(JSON.stringify(table)).not.toContain(address.slice(15, -4));
  });

  it('is another once a new one is made, and nothing is at the old one', async () => {
    const old = await made();
    site.clock.now += 1;
    const address = await made();
    expect(address).not.toBe(old);
    expect((await fetched(old)).status).toBe(404);
    expect((await fetched(address)).status).toBe(200);
  });

  it('stays when the form is sent twice, or from an old tab', async () => {
    const address = await made();
    site.clock.now += 1;
    await browser().post('/lead/calendar/new', { of: '' });
    await browser().post('/lead/calendar/new', {});
    expect(await shown()).toBe(address);
  });

  it('is gone when it is turned off, and a new one is another', async () => {
    const old = await made();
    expect((await browser().post('/lead/calendar/off', {})).headers.location).toBe('/lead/calendar');
    expect(await shown()).toBe('/');
    expect((await fetched(old)).status).toBe(404);
    expect(await made()).not.toBe(old);
    expect((await fetched(old)).status).toBe(404);
  });

  it.each([
    ['stood down', () => site.db.write((tx) => standDown(tx, cast.ids.leader, cast.ids.coordinator, NOON))],
    ['shut out', () => site.db.raw.prepare('UPDATE people SET disabled_at = 1 WHERE id = ?').run(cast.ids.leader)],
  ])('leads nowhere for someone %s', async (_, end) => {
    const address = await made();
    end();
    const answer = await fetched(address);
    expect(answer.status).toBe(404);
    expect(answer.headers['cache-control']).toBe('no-store');
  });

  it.each(['unknown', 'a'.repeat(43), '%00', '..', `${'a'.repeat(190)}`])('%j is no calendar', async (token) => {
    expect((await fetched(`/lead/calendar/${token}.ics`)).status).toBe(404);
  });
});

describe('the calendar itself', () => {
  it('is fetched again only where something is new, and told to nobody', async () => {
    const address = await made();
    const first = await fetched(address);
    const tag = String(first.headers.etag);
    expect(first.headers).toMatchObject({
      'cache-control': 'private, no-cache',
      'referrer-policy': 'no-referrer',
      'content-type': 'text/calendar; charset=utf-8',
    });
    for (const known of [tag, `"other", ${tag}`, tag.replace('W/', ''), '*']) {
      const answer = await fetched(address, { 'if-none-match': known });
      expect([known, answer.status, answer.body, answer.headers.etag]).toEqual([known, 304, '', tag]);
    }
    expect((await fetched(address, { 'if-none-match': '"other"' })).status).toBe(200);
    saveNewWalk(site.services, walkFacts({ date: '2026-12-13' }), cast.ids.leader, 'posted');
    expect((await fetched(address, { 'if-none-match': tag })).status).toBe(200);
  });

  it('is the same at two moments of a day where nothing changed', async () => {
    const address = await made();
    const { etag } = (await fetched(address)).headers;
    site.clock.now += 60 * 60_000;
    expect((await fetched(address)).headers.etag).toBe(etag);
  });

  it('has the walks led and shared, as their walkers have them, and no drafts', async () => {
    const shared = saveNewWalk(site.services, walkFacts({ date: '2026-12-12' }), cast.ids['other leader'], 'posted');
    site.db.raw.prepare("INSERT INTO walk_leaders VALUES (?, ?, 'co-leader')").run(shared, cast.ids.leader);
    saveNewWalk(site.services, walkFacts({ date: '2026-12-13' }), cast.ids['other leader'], 'posted');
    const off = saveNewWalk(site.services, walkFacts({ date: '2026-12-19' }), cast.ids.leader, 'posted');
    cancelWalk(site.services, off, cast.ids.leader, { kind: 'safety', reason: 'Storm, "big"; wind' });
    const found = await ofWalks(await made());
    expect(found.map((one) => [one.status, one.url.split('/').at(-1)])).toEqual([
      ['CONFIRMED', String(cast.walkId)],
      ['CONFIRMED', String(shared)],
      ['CANCELLED', String(off)],
    ]);
    expect(found.map((one) => one.description.split('\n')[0])).toEqual([
      'You lead this walk.',
      'You share this walk.',
      'Cancelled: Storm, "big"; wind',
    ]);
    const walkers = read((await fetched(`/walks/${off}.ics`)).body);
    expect([found[2]?.uid, found[2]?.sequence]).toEqual([walkers.value('uid'), walkers.value('sequence')]);
  });

  it('counts walkers, and names nobody', async () => {
    const names = ['Ana Ferreira', 'Rui Ferreira', 'ana@walkers.example', '5550123', '5550188'];
    site.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm()));
    const { body } = await fetched(await made());
    expect(body.replaceAll('\r\n ', '')).toContain('1 of 12 places taken');
    for (const name of names) expect([name, body.includes(name)]).toEqual([name, false]);
  });

  it('goes from three months back to a year ahead', async () => {
    const at = (gatherAt: number) =>
      site.db.write((tx) => tx.update(walks).set({ gatherAt, setOffAt: gatherAt }).where(eq(walks.id, cast.walkId)).run());
    const address = await made();
    for (const [gatherAt, count] of [
      [NOON - 92 * DAY - 1, 0],
      [NOON - 92 * DAY, 1],
      [NOON + 366 * DAY, 1],
      [NOON + 366 * DAY + 1, 0],
    ] as const) {
      at(gatherAt);
      expect([gatherAt, (await ofWalks(address)).length]).toEqual([gatherAt, count]);
    }
  });

  it("has what the leader's area still needs, on days that block no time, as the page has it", async () => {
    const address = await made();
    const needs = await ofNeeds(address);
    expect(needs[0]).toMatchObject({ start: '2026-11-28', end: '2026-11-29', transparency: 'TRANSPARENT' });
    expect(needs[0]?.title).toBe('Walk wanted: any length, Lantern Hills');
    const page = (await browser().get('/lead')).text.replaceAll('&#x3D;', '=').replaceAll('&amp;', '&');
    for (const { url } of needs) expect(page).toContain(`href="${url.slice(site.config.baseUrl.length)}"`);
    expect(needs.map((one) => new URL(one.url).search)).toEqual([
      '?area=lantern-hills&date=2026-11-28',
      '?area=lantern-hills&date=2026-11-28',
      // One walk stands in December already.
      '?area=lantern-hills&date=2026-12-12',
      '?area=lantern-hills&date=2027-01-02',
      '?area=lantern-hills&date=2027-01-09',
      '?area=lantern-hills&date=2027-02-06',
      '?area=lantern-hills&date=2027-02-13',
    ]);
    expect(new Set(needs.map((one) => one.uid)).size).toBe(7);
  });

  it('asks for a walk of the plan with its day and length', async () => {
    saveSettings(site.db.q, { eventDay: '2027-03-20', eventDayMetres: 35_406 });
    const needs = await ofNeeds(await made());
    const saturday = needs.find((one) => one.start === '2026-12-12');
    const [, miles] = /^Walk wanted: ([\d.]+) miles, Lantern Hills$/.exec(saturday?.title ?? '') ?? [];
    expect(new URL(saturday?.url ?? '').search).toBe(`?area=lantern-hills&date=2026-12-12&distance=${miles}`);
  });

  it("goes by the clock of the leader's area, as their page does", async () => {
    site.db.write((tx) => tx.update(leaders).set({ areaId: 2 }).where(eq(leaders.personId, cast.ids.leader)).run());
    const address = await made();
    // In the group's own zone it is Saturday already, and too late to post a walk for it.
    site.clock.now = Date.UTC(2026, 11, 5, 5, 59);
    const page = (await browser().get('/lead')).text.replaceAll('&#x3D;', '=').replaceAll('&amp;', '&');
    const needs = await ofNeeds(address);
    expect(needs[0]).toMatchObject({ start: '2026-12-05' });
    for (const { url } of needs) expect(page).toContain(`href="${url.slice(site.config.baseUrl.length)}"`);
    site.clock.now += 60_000;
    expect((await ofNeeds(address))[0]).toMatchObject({ start: '2026-12-12' });
  });

  it('puts a need with no Saturday left on a day that is left, and leaves out one with none', async () => {
    site.clock.now = Date.UTC(2026, 10, 29, 12);
    const [first] = await ofNeeds(await made());
    expect(first).toMatchObject({ start: '2026-11-30', end: '2026-12-01' });
    site.clock.now = Date.UTC(2026, 10, 30, 12);
    expect((await ofNeeds(await made()))[0]).toMatchObject({ start: '2026-12-12' });
  });

  it('has nothing to ask for in an area that has what it should', async () => {
    site.db.raw.exec('UPDATE areas SET floor_walks = 0');
    expect(await ofNeeds(await made())).toEqual([]);
  });

  it('of a leader with nothing at all is a calendar all the same', async () => {
    site.db.raw.exec('UPDATE areas SET floor_walks = 0');
    site.db.write((tx) => tx.update(leaders).set({ areaId: 2 }).where(eq(leaders.personId, cast.ids.leader)).run());
    site.db.raw.exec('DELETE FROM walk_leaders');
    expect(await events(await made())).toEqual([]);
  });
});
