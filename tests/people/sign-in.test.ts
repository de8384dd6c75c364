import { desc, eq } from 'drizzle-orm';
import type { FastifyInstance } from 'fastify';
import { beforeEach, describe, expect, it } from 'vitest';
import { areas, leaders, notices, people, sessions, signInLinks } from '../../server/db/schema/index.js';
import { makeLink } from '../../server/people/link-store.js';
import { signInCode, signInToken } from '../../server/people/links.js';
import type { Services } from '../../server/services.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { Browser } from '../support/browser.js';

const MINUTE_MS = 60_000;
const ANA = 'ana@walkers.example';

let site: TestSite;
let app: FastifyInstance;
let services: Services;

beforeEach(async () => {
  site = await openSite();
  ({ app, services } = site);
});

/** The newest link that was made for an address. */
function newest(email = ANA) {
  const link = services.db.q.select().from(signInLinks).where(eq(signInLinks.email, email)).orderBy(desc(signInLinks.createdAt)).get();
  if (!link) throw new Error(`no link for ${email}`);
  return { link, path: `/sign-in/${signInToken(services.sealer, link.id)}`, code: signInCode(services.sealer, link.id) };
}

async function ask(browser: Browser, email = ANA, fields: Record<string, string> = {}) {
  const answer = await browser.post('/sign-in', { email, ...fields });
  expect(answer.status).toBe(303);
  expect(answer.headers.location).toBe('/sign-in?sent=1');
  return newest(email);
}

async function signedIn(email = ANA): Promise<Browser> {
  site.clock.now += 1;
  const browser = new Browser(app);
  const { path } = await ask(browser, email);
  expect((await browser.post(path)).status).toBe(303);
  return browser;
}

async function isIn(browser: Browser): Promise<boolean> {
  return (await browser.get('/me')).status === 200;
}

function addPerson(values: Partial<typeof people.$inferInsert> = {}): number {
  return services.db.write((tx) =>
    tx
      .insert(people)
      .values({ name: 'Ana Lopez', email: ANA, createdAt: NOON, ...values })
      .returning()
      .get(),
  ).id;
}

describe('asking for a sign-in mail', () => {
  it('owes one mail, with a link kept only as hashes', async () => {
    const { link, path, code } = await ask(new Browser(app));
    expect(services.db.q.select().from(notices).all()).toMatchObject([{ kind: 'sign-in', toEmail: ANA, giveUpAt: NOON + 10 * MINUTE_MS }]);
    const kept = JSON.stringify([services.db.q.select().from(signInLinks).all(), services.db.q.select().from(notices).all()]);
    expect(kept).not.toContain(path.split('/').pop());
    expect(kept).not.toContain(code);
    expect(link.browserHash).not.toBeNull();
  });

  it('says which address the mail goes to, and keeps the page to itself', async () => {
    const browser = new Browser(app);
    await ask(browser);
    const page = await browser.get('/sign-in?sent=1');
    expect(page.text).toContain(ANA);
    expect(page.headers['cache-control']).toBe('no-store');
  });

  it('answers the same for an address it knows and one it does not', async () => {
    addPerson();
    const answers = [];
    for (const email of [ANA, 'nobody@walkers.example']) {
      const browser = new Browser(app);
      const answer = await browser.post('/sign-in', { email });
      const sent = await browser.get('/sign-in?sent=1');
      const { date, 'set-cookie': cookies, ...headers } = answer.headers as unknown as Record<string, string> & { 'set-cookie': string[] };
      expect(date).toBeDefined();
      answers.push({
        status: answer.status,
        headers,
        cookies: cookies.map((cookie) => cookie.replace(/=[^;]*/, '')),
        text: answer.text,
        sent: sent.text.replace(email, ''),
      });
    }
    expect(answers[0]).toEqual(answers[1]);
  });

  it('keeps what was typed when it is no address', async () => {
    const answer = await new Browser(app).post('/sign-in', { email: 'ana at <walkers>', next: '/lead' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('<title>Error: ');
    expect(answer.text).toContain('value="ana at &lt;walkers&gt;"');
    expect(answer.text).toContain('value="/lead"');
    expect(services.db.q.select().from(signInLinks).all()).toEqual([]);
  });

  it('takes no second line into the address', async () => {
    const answer = await new Browser(app).post('/sign-in', { email: `${ANA}\r\nBcc: eve@evil.example` });
    expect(answer.status).toBe(422);
    expect(services.db.q.select().from(notices).all()).toEqual([]);
  });

  it('mails one browser three times an hour and then answers the same without', async () => {
    const browser = new Browser(app);
    for (let time = 1; time <= 5; time += 1) {
      site.clock.now += 1000;
      await ask(browser);
      expect(services.db.q.select().from(notices).all()).toHaveLength(Math.min(time, 3));
    }
    const { path } = newest();
    expect((await browser.get('/sign-in?sent=1')).text).toContain(ANA);
    expect((await browser.post(path)).status).toBe(410);
    site.clock.now = NOON + 1000 + 60 * MINUTE_MS;
    await ask(browser);
    expect(services.db.q.select().from(notices).all()).toHaveLength(4);
  });

  it('is not used up by strangers, and floods no mailbox', async () => {
    for (let time = 1; time <= 29; time += 1) await ask(new Browser(app));
    await ask(new Browser(app));
    expect(services.db.q.select().from(notices).all()).toHaveLength(30);
    await ask(new Browser(app));
    expect(services.db.q.select().from(notices).all()).toHaveLength(30);
  });

  it('has no use for those who are signed in', async () => {
    const browser = await signedIn();
    expect((await browser.get('/sign-in?next=/rules')).headers.location).toBe('/rules');
  });
});

describe('a sign-in link', () => {
  it('changes nothing when it is only opened', async () => {
    const browser = new Browser(app);
    const { path } = await ask(browser);
    const before = services.db.writes();
    const opened = await browser.get(path);
    expect(opened.status).toBe(200);
    expect(opened.text).toContain(`Sign in as ${ANA}`);
    expect(opened.headers['cache-control']).toBe('no-store');
    expect(opened.headers['set-cookie']).toBeUndefined();
    expect((await browser.head(path)).status).toBe(200);
    expect(services.db.writes()).toBe(before);
    expect(await isIn(browser)).toBe(false);
  });

  it('signs in once', async () => {
    const browser = new Browser(app);
    const { path } = await ask(browser);
    expect((await browser.post(path)).status).toBe(303);
    expect(await isIn(browser)).toBe(true);
    const again = await new Browser(app).get(path);
    expect(again.status).toBe(410);
    expect(again.text).toContain('href="/sign-in"');
    expect((await new Browser(app).post(path)).status).toBe(410);
    expect(services.db.q.select().from(sessions).all()).toHaveLength(1);
  });

  it('works in its last millisecond and not in the first after', async () => {
    const early = new Browser(app);
    const { path } = await ask(early);
    site.clock.now = NOON + 10 * MINUTE_MS;
    expect((await early.get(path)).status).toBe(410);
    expect((await early.post(path)).status).toBe(410);
    site.clock.now = NOON + 10 * MINUTE_MS - 1;
    expect((await early.post(path)).status).toBe(303);
  });

  it('goes on at the second press of a double click', async () => {
    const browser = new Browser(app);
    const { path } = await ask(browser, ANA, { next: '/rules' });
    expect((await browser.post(path, { csrf: '' })).headers.location).toBe('/rules');
    const second = await browser.post(path, { csrf: '' });
    expect(second.status).toBe(303);
    expect(second.headers.location).toBe('/rules');
    expect(services.db.q.select().from(sessions).all()).toHaveLength(1);
  });

  it('is a page with a way on where nobody knows it', async () => {
    const answer = await new Browser(app).get('/sign-in/AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA');
    expect(answer.status).toBe(404);
    expect(answer.text).toContain('href="/sign-in"');
  });

  it('signs nobody in in another browser, but shows the code for the first', async () => {
    const first = new Browser(app);
    const other = new Browser(app);
    await ask(other, 'eve@walkers.example');
    const { path, code } = await ask(first);
    site.clock.now += 3 * MINUTE_MS;
    const opened = await other.get(path);
    expect(opened.status).toBe(200);
    expect(opened.text.replaceAll(' ', '')).toContain(code);
    expect(opened.text).toContain('3 minutes ago');
    expect((await other.post(path)).status).toBe(403);
    expect(await isIn(other)).toBe(false);
    expect((await first.get(path)).text).not.toContain(code);
    const entered = await first.post('/sign-in', { code: ` ${code.slice(0, 4).toLowerCase()}-${code.slice(4)}` });
    expect(entered.status).toBe(303);
    expect(await isIn(first)).toBe(true);
    expect((await other.get(path)).status).toBe(410);
  });

  it('printed by the operator works in any browser', async () => {
    const { id } = services.db.write((tx) => makeLink(tx, services, { email: ANA, browser: null, next: null }));
    const browser = new Browser(app);
    expect((await browser.post(`/sign-in/${signInToken(services.sealer, id)}`)).status).toBe(303);
    expect(await isIn(browser)).toBe(true);
  });

  it('asked for twice in one browser works from either mail, and only one of them', async () => {
    const browser = new Browser(app);
    const first = await ask(browser);
    site.clock.now += 1000;
    const second = await ask(browser);
    expect((await browser.post(first.path)).status).toBe(303);
    expect((await new Browser(app).get(second.path)).status).toBe(410);
  });

  it('lets in nobody who was disabled', async () => {
    addPerson({ disabledAt: NOON });
    const browser = new Browser(app);
    const { path } = await ask(browser);
    expect((await browser.post(path)).status).toBe(403);
    expect(await isIn(browser)).toBe(false);
  });
});

describe('the typed code', () => {
  it('is spent by the fifth wrong one', async () => {
    const browser = new Browser(app);
    const { code } = await ask(browser);
    for (const left of ['4 tries', '3 tries', '2 tries', 'one try']) {
      const wrong = await browser.post('/sign-in', { code: 'AAAA AAAA' });
      expect(wrong.status).toBe(422);
      expect(wrong.text).toContain(left);
      expect(wrong.text).toContain('value="AAAA AAAA"');
    }
    const fifth = await browser.post('/sign-in', { code: 'AAAA AAAA' });
    expect(fifth.status).toBe(422);
    expect(fifth.text).toContain(`value="${ANA}"`);
    expect((await browser.post('/sign-in', { code })).status).toBe(422);
    expect(await isIn(browser)).toBe(false);
  });

  it('still works after four wrong ones', async () => {
    const browser = new Browser(app);
    const { code } = await ask(browser);
    for (let time = 0; time < 4; time += 1) await browser.post('/sign-in', { code: 'wrong' });
    await browser.post('/sign-in', { code: '' });
    expect((await browser.post('/sign-in', { code })).status).toBe(303);
  });

  it('works only in the browser that asked, and for ten minutes', async () => {
    const browser = new Browser(app);
    const { code } = await ask(browser);
    expect((await new Browser(app).post('/sign-in', { code })).status).toBe(422);
    site.clock.now = NOON + 10 * MINUTE_MS;
    expect((await browser.post('/sign-in', { code })).status).toBe(422);
    site.clock.now -= 1;
    expect((await browser.post('/sign-in', { code })).status).toBe(303);
  });
});

describe('being signed in', () => {
  it('makes the person at the first time and finds them at the next', async () => {
    await signedIn('ana.lopez@walkers.example');
    await signedIn('ana.lopez@walkers.example');
    expect(services.db.q.select().from(people).where(eq(people.email, 'ana.lopez@walkers.example')).all()).toMatchObject([
      { name: 'Ana Lopez', coordinator: false },
    ]);
  });

  it('takes a new session id each time, whatever cookie the browser came with', async () => {
    const planted = 'planted-by-somebody-else';
    const { id } = services.db.write((tx) => makeLink(tx, services, { email: ANA, browser: null, next: null }));
    const answer = await app.inject({
      method: 'POST',
      url: `/sign-in/${signInToken(services.sealer, id)}`,
      headers: { 'sec-fetch-site': 'same-origin', cookie: `session=${planted}`, 'content-type': 'application/x-www-form-urlencoded' },
      payload: '',
    });
    expect(answer.statusCode).toBe(303);
    const session = answer.cookies.find((cookie) => cookie.name === 'session');
    expect(session).toMatchObject({ httpOnly: true, sameSite: 'Lax', path: '/' });
    expect(session?.value).not.toBe(planted);
    expect((await app.inject({ url: '/me', headers: { cookie: `session=${planted}` } })).statusCode).toBe(303);
  });

  it('ends the session this browser had', async () => {
    const browser = await signedIn();
    site.clock.now += 1000;
    await browser.get('/me');
    const { path } = await ask(browser, 'ben@walkers.example');
    expect((await browser.get(path)).text).toContain('Sign in as ben@walkers.example');
    expect((await browser.post(path)).status).toBe(303);
    expect(services.db.q.select().from(sessions).all()).toHaveLength(1);
    expect((await browser.get('/me')).text).toContain('ben@walkers.example');
  });

  it('goes on to a page of this site and to no other', async () => {
    const cases = [
      ['/rules?x=1', '/rules?x=1'],
      ['//evil.example', '/'],
      ['/\\evil.example', '/'],
      ['https://evil.example/', '/'],
      ['/.//evil.example', '/evil.example'],
    ] as const;
    for (const [index, [next, path]] of cases.entries()) {
      const browser = new Browser(app);
      expect((await browser.get(`/sign-in?next=${encodeURIComponent(next)}`)).status).toBe(200);
      const link = await ask(browser, `walker${index}@walkers.example`, { next });
      expect((await browser.post(link.path)).headers.location).toBe(path);
    }
  });

  it('goes on to the work of the role where nothing else was asked for', async () => {
    addPerson({ email: 'cora@walkers.example', coordinator: true });
    const leader = addPerson({ email: 'lee@walkers.example' });
    services.db.write((tx) => {
      const area = {
        slug: 'hills',
        name: 'Hills',
        lat: 40,
        lon: -75,
        radiusMetres: 10_000,
        zone: 'America/New_York',
        emergencyNumber: '911',
        createdAt: NOON,
      };
      const { id } = tx.insert(areas).values(area).returning().get();
      tx.insert(leaders).values({ personId: leader, areaId: id, state: 'approved', sinceMonth: '2026-11', createdAt: NOON }).run();
    });
    for (const [email, path] of [
      ['cora@walkers.example', '/coordinate'],
      ['lee@walkers.example', '/lead'],
      ['walt@walkers.example', '/'],
    ] as const) {
      const browser = new Browser(app);
      const link = await ask(browser, email);
      expect((await browser.post(link.path)).headers.location).toBe(path);
    }
  });

  it('ends at sign-out, here only', async () => {
    const here = await signedIn();
    const there = await signedIn();
    await here.get('/me');
    const out = await here.post('/sign-out');
    expect(out.status).toBe(303);
    expect(out.headers.location).toBe('/');
    expect(await isIn(here)).toBe(false);
    expect(await isIn(there)).toBe(true);
  });

  it('ends everywhere when asked to', async () => {
    const here = await signedIn();
    const there = await signedIn();
    expect((await here.get('/me')).text).toContain('in 2 browsers');
    expect((await here.post('/sign-out-everywhere')).status).toBe(303);
    expect(await isIn(here)).toBe(false);
    expect(await isIn(there)).toBe(false);
  });

  it('does not end for a form without its token', async () => {
    const browser = await signedIn();
    expect((await browser.post('/sign-out-everywhere', { csrf: 'guess' })).status).toBe(403);
    expect(await isIn(browser)).toBe(true);
  });
});

it('over https, cookies are bound to this host and sent over https only', async () => {
  const secure = await openSite({ BASE_URL: 'https://walks.example' });
  const form = { 'sec-fetch-site': 'same-origin', 'content-type': 'application/x-www-form-urlencoded' };
  const asked = await secure.app.inject({ method: 'POST', url: '/sign-in', headers: form, payload: `email=${ANA}` });
  expect(asked.cookies).toMatchObject([{ name: '__Host-ask', secure: true, httpOnly: true, sameSite: 'Lax', path: '/', maxAge: 600 }]);
  const link = secure.db.q.select().from(signInLinks).get();
  const used = await secure.app.inject({
    method: 'POST',
    url: `/sign-in/${signInToken(secure.services.sealer, link?.id ?? 0)}`,
    headers: { ...form, cookie: `__Host-ask=${asked.cookies[0]?.value}` },
  });
  expect(used.statusCode).toBe(303);
  expect(used.cookies.map(({ name, secure: https, value }) => [name, https, value !== ''])).toEqual([
    ['__Host-session', true, true],
    ['__Host-ask', true, false],
  ]);
});
