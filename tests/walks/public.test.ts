import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { keepSignUp } from '../../server/signups/store.js';
import { cancelWalk, saveNewWalk } from '../../server/walks/save.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { signUpForm } from '../support/sign-up.js';

async function opened() {
  const site = await openSite();
  const cast = layCast(site);
  const post = (changed: Parameters<typeof walkFacts>[0]) => saveNewWalk(site.services, walkFacts(changed), cast.ids.leader, 'posted');
  post({
    routeName: 'Rail path',
    areaId: 2,
    zone: 'America/Chicago',
    date: '2026-12-09',
    distanceMetres: 8047,
    stepFree: true,
    surfaces: ['gravel'],
  });
  post({ routeName: 'Long ridge', date: '2026-12-12', distanceMetres: 32_187 });
  return { site, cast, nobody: cast.browser('nobody') };
}

describe('the timetable', () => {
  it.each([
    ['', ['Quarry Lakes loop', 'Rail path', 'Long ridge']],
    ['?area=east-fork', ['Rail path']],
    ['?min=6&max=10', ['Quarry Lakes loop']],
    ['?min=5&max=5', ['Rail path']],
    ['?from=2026-12-09', ['Rail path', 'Long ridge']],
    ['?from=2026-12-09&to=2026-12-09', ['Rail path']],
    ['?day=sat', ['Quarry Lakes loop', 'Long ridge']],
    ['?day=weekday', ['Rail path']],
    ['?surface=gravel', ['Rail path']],
    ['?stepfree=yes', ['Rail path']],
    ['?min=6&max=4.5', ['Rail path']],
    ['?area=nowhere&from=soon&min=far', ['Quarry Lakes loop', 'Rail path', 'Long ridge']],
    ['?area=east-fork&min=20', []],
  ])('with %s shows %o', async (query, routes) => {
    const { nobody } = await opened();
    const answer = await nobody.get(`/${query}`);
    expect(answer.status).toBe(200);
    expect([...answer.text.matchAll(/<a href="\/walks\/\d+">([^<]+)</g)].map((found) => found[1])).toEqual(routes);
  });

  it('shows each walk by the clock of its own zone, and forgets it an hour after gathering', async () => {
    const { site, nobody } = await opened();
    expect((await nobody.get('/')).text).toMatch(/8:45<\/b> <small>AM<\/small> <small class="zone">CST/);
    site.clock.now = walkFacts().gatherAt + 60 * 60_000;
    expect((await nobody.get('/')).text).toContain('Quarry Lakes loop');
    site.clock.now += 60_000;
    expect((await nobody.get('/')).text).not.toContain('Quarry Lakes loop');
  });

  it('never shows yesterday what was kept before a change', async () => {
    const { site, cast, nobody } = await opened();
    await nobody.get('/');
    saveNewWalk(site.services, walkFacts({ routeName: 'Just posted' }), cast.ids.leader, 'posted');
    expect((await nobody.get('/')).text).toContain('Just posted');
  });
});

describe('what the timetable says of time', () => {
  it('names the zone though every walk shown keeps the same one, on the area page too', async () => {
    const { nobody } = await opened();
    for (const path of ['/?area=lantern-hills', '/areas/lantern-hills'])
      expect((await nobody.get(path)).text).toMatch(/8:45<\/b> <small>AM<\/small> <small class="zone">EST/);
  });

  it('gives the year of a day in another year, and of none in this', async () => {
    const { site, cast, nobody } = await opened();
    saveNewWalk(site.services, walkFacts({ date: '2027-11-07' }), cast.ids.leader, 'posted');
    const { text } = await nobody.get('/');
    expect(text).toContain('<h2>Sun, Nov 7, 2027</h2>');
    expect(text).toContain('<h2>Sat, Dec 5</h2>');
  });

  it('offers today in the form without asking for it, and asked for it means from now on', async () => {
    const { site, nobody } = await opened();
    expect((await nobody.get('/')).text).toContain('name="from" type="date" value="2026-11-25"');
    expect((await nobody.get('/?area=')).text).toContain('name="from" type="date" value=""');
    site.clock.now = walkFacts().gatherAt + 61 * 60_000;
    expect((await nobody.get('/?from=2026-12-05')).text).not.toContain('Quarry Lakes loop');
  });

  it('says that lengths the wrong way round are swapped', async () => {
    const { nobody } = await opened();
    const { text } = await nobody.get('/?min=6&max=4.5');
    expect(text).toContain('From was longer than up to, so they are swapped.');
    expect(text).toMatch(/name="min" inputmode="decimal" value="4.5"/);
  });

  it('counts the coming walks of each area, and names the day of the next', async () => {
    const { site, cast, nobody } = await opened();
    expect((await nobody.get('/areas')).text).toContain('2 coming walks, the next Sat, Dec 5');
    expect((await nobody.get('/areas')).text).toContain('1 coming walk, Wed, Dec 9');
    cancelWalk(site.services, cast.walkId, cast.ids.leader, { kind: 'other', reason: 'Ill' });
    expect((await nobody.get('/areas')).text).toContain('1 coming walk, Sat, Dec 12');
  });
});

describe('the page of a walk', () => {
  const INVITING = ['Add to calendar', 'Once you have signed up', 'when you sign up', '>Sign up<'];

  it('invites only to a walk that one can still come to', async () => {
    const { site, cast, nobody } = await opened();
    const said = async () => {
      const { text } = await nobody.get(`/walks/${cast.walkId}`);
      return INVITING.filter((words) => text.includes(words));
    };
    expect(await said()).toEqual(INVITING);
    site.clock.now = walkFacts().gatherAt;
    expect(await said()).toEqual([]);
    site.clock.now = walkFacts().gatherAt - 1;
    cancelWalk(site.services, cast.walkId, cast.ids.leader, { kind: 'other', reason: 'Ill' });
    expect(await said()).toEqual([]);
  });

  it('shows someone signed in their own sign-up, and nobody else any', async () => {
    const { site, cast, nobody } = await opened();
    site.services.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm({ email: 'walker@waymeet.example' })));
    const own = (await cast.browser('walker').get(`/walks/${cast.walkId}`)).text;
    const link = /You are signed up:<\/b> <a href="(\/sign-ups\/[^"]+)"/.exec(own)?.[1] ?? '';
    expect((await nobody.get(link)).status).toBe(200);
    expect(own).not.toContain('>Sign up<');
    for (const other of [nobody, cast.browser('other walker')]) {
      const { text } = await other.get(`/walks/${cast.walkId}`);
      expect(text).toContain('>Sign up<');
      expect(text).not.toContain('/sign-ups/');
    }
    await cast.browser('walker').post(`${link}/withdraw`);
    expect((await cast.browser('walker').get(`/walks/${cast.walkId}`)).text).toContain('>Sign up<');
  });

  it('tells no climb from a level walk, and says that under-18s come with a guardian', async () => {
    const { site, cast, nobody } = await opened();
    const id = saveNewWalk(site.services, walkFacts({ ascentMetres: 0, minors: true, dogs: false }), cast.ids.leader, 'posted');
    const { text } = await nobody.get(`/walks/${id}`);
    expect(text).toContain('<dt>Climb</dt><dd>Not said</dd>');
    expect(text).not.toMatch(/\b0 ft/);
    expect(text).toContain('Adults, and under-18s with a guardian who signs up with them. No dogs, please.');
  });

  it('names the zone beside every clock', async () => {
    const { cast, nobody } = await opened();
    const { text } = await nobody.get(`/walks/${cast.walkId}`);
    const words = text.replace(/<script[\s\S]*?<\/script>/g, '').replace(/<[^>]*>/g, '');
    const clocks = words.match(/\d:\d\d.[AP]M/g)?.length ?? 0;
    expect(clocks).toBeGreaterThan(4);
    expect(words.match(/\d:\d\d.[AP]M.EST/g)).toHaveLength(clocks);
    expect(words).toContain('Times: fastest – slowest, EST.');
  });
});

describe('for other programs', () => {
  it('a walk is a calendar entry that keeps its UID, and an area a feed', async () => {
    const { cast, nobody } = await opened();
    const one = await nobody.get(`/walks/${cast.walkId}.ics`);
    expect(one.headers['content-type']).toContain('text/calendar');
    const [event] = new ICAL.Component(ICAL.parse(one.text)).getAllSubcomponents('vevent');
    expect(event?.getFirstPropertyValue('summary')).toBe('8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(String(event?.getFirstPropertyValue('dtstart'))).toBe('2026-12-05T13:45:00Z');
    const feed = await nobody.get('/calendar.ics?area=east-fork');
    expect(new ICAL.Component(ICAL.parse(feed.text)).getAllSubcomponents('vevent')).toHaveLength(1);
  });

  it('walks.json names nobody and gives nobody away', async () => {
    const { nobody } = await opened();
    const { walks } = (await nobody.get('/walks.json')).body;
    expect(walks).toHaveLength(3);
    expect(walks[0]).toMatchObject({
      title: '8-mile walk: Quarry Lakes loop, Lantern Hills',
      gather: '2026-12-05T13:45:00.000Z',
      placesLeft: 12,
    });
    expect(JSON.stringify(walks)).not.toMatch(/Marsh|555-01/);
  });

  it('the feed of what is new is well-formed, whatever a leader typed', async () => {
    const { site, cast, nobody } = await opened();
    const routeName = 'Tom & Jo\'s <b>"way"</b>';
    saveNewWalk(site.services, walkFacts({ routeName }), cast.ids.leader, 'posted');
    const { text } = await nobody.get('/feed.atom?area=lantern-hills');
    expect(text).toContain('Tom &amp; Jo&#x27;s &lt;b&gt;&quot;way&quot;&lt;/b&gt;');
    expect([...text.matchAll(/<entry>/g)]).toHaveLength(3);
    expect(text.replaceAll(/&(#x[0-9A-F]+|amp|lt|gt|quot);/g, '')).not.toContain('&');
  });

  it('the page of a walk carries its data for search engines, and not the phone of its leader', async () => {
    const { cast, nobody } = await opened();
    const { text } = await nobody.get(`/walks/${cast.walkId}`);
    const data = JSON.parse(/<script type="application\/ld\+json">([\s\S]*?)<\/script>/.exec(text)?.[1] ?? '{}');
    expect(data).toMatchObject({
      '@type': 'Event',
      eventStatus: 'https://schema.org/EventScheduled',
      startDate: '2026-12-05T13:45:00.000Z',
    });
    expect(text).toContain('Lena Marsh');
    expect(text).not.toContain('555-01');
  });

  it.each(['/walks/9999', '/walks/nine', '/walks/1e3', '/walks/0', '/walks/9999.ics', '/nothing', '/walks/99999999999999999999'])(
    '%s is a page that says what to do next',
    async (path) => {
      const { nobody } = await opened();
      const answer = await nobody.get(path);
      expect(answer.status).toBe(404);
      expect(answer.text).toContain('See the coming walks');
    },
  );
});
