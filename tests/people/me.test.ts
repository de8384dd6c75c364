import type { FastifyInstance } from 'fastify';
import { beforeEach, describe, expect, it } from 'vitest';
import { people, signUps, texts, walks } from '../../server/db/schema/index.js';
import { approveLeader } from '../../server/leaders/store.js';
import { makeLink } from '../../server/people/link-store.js';
import { signInToken } from '../../server/people/links.js';
import type { Services } from '../../server/services.js';
import { signUpToken, signUpTokenHash } from '../../server/signups/link.js';
import { NOON, openSite } from '../support/app.js';
import { Browser } from '../support/browser.js';

const DAY_MS = 24 * 60 * 60_000;
const ANA = 'ana@walkers.example';

let app: FastifyInstance;
let services: Services;
let browser: Browser;

beforeEach(async () => {
  ({ app, services } = await openSite());
  browser = new Browser(app);
  addSignUp(1, { gatherAt: NOON + 3 * DAY_MS, name: 'Ana L.' });
  addSignUp(2, { gatherAt: NOON - 3 * DAY_MS, name: 'Ana Lopez' });
  addSignUp(3, { gatherAt: NOON + 3 * DAY_MS, email: 'ben@walkers.example', name: 'Ben' });
  const { id } = services.db.write((tx) => makeLink(tx, services, { email: ANA, browser: null, next: null }));
  expect((await browser.post(`/sign-in/${signInToken(services.sealer, id)}`)).status).toBe(303);
});

/** A sign-up numbered `id`, for a walk of its own. */
function addSignUp(id: number, sign: { gatherAt: number; name: string; email?: string }): void {
  services.db.write((tx) => {
    const wall = { wallDate: '2026-11-28', wallTime: '08:45', wallSetOff: '09:00', zone: 'America/New_York', month: '2026-11' };
    const place = {
      routeName: `Quarry loop ${id}`,
      locality: 'Lantern Hills',
      meetingPoint: 'Gate',
      landmark: 'Oak',
      distanceMetres: 12_875,
      capacity: 12,
    };
    const times = { gatherAt: sign.gatherAt, setOffAt: sign.gatherAt + 900_000, createdAt: NOON, updatedAt: NOON };
    tx.insert(walks)
      .values({ id, uid: `walk-${id}`, state: 'posted', areaId: 1, ...wall, ...place, ...times })
      .run();
    const rules = tx.select({ id: texts.id }).from(texts).get();
    const contact = { name: sign.name, email: sign.email ?? ANA, phone: '+12025550123', phoneTyped: '202 555 0123' };
    const token = {
      tokenHash: signUpTokenHash(services.sealer, id),
      postMark: String(id),
      rulesTextId: rules?.id ?? 0,
      rulesAgreedAt: NOON,
    };
    tx.insert(signUps)
      .values({ id, walkId: id, state: 'confirmed', partySize: 2, createdAt: NOON, ...contact, ...token })
      .run();
  });
}

describe('the page about oneself', () => {
  it('takes the name from the latest sign-up at the first sign-in', () => {
    expect(services.db.q.select().from(people).all()).toMatchObject([{ name: 'Ana Lopez', email: ANA }]);
  });

  it('lists own sign-ups, coming and past, with their private pages, and nobody else’s', async () => {
    const page = await browser.get('/me');
    expect(page.status).toBe(200);
    expect(page.headers['cache-control']).toBe('no-store');
    expect(page.text).toContain('8-mile walk: Quarry loop 1, Lantern Hills');
    expect(page.text).toContain(`href="/sign-ups/${signUpToken(services.sealer, 1)}"`);
    expect(page.text.indexOf('Quarry loop 1')).toBeLessThan(page.text.indexOf('Quarry loop 2'));
    expect(page.text).not.toContain('Quarry loop 3');
    expect(page.text).toContain('in this browser only');
  });

  it('says of a past walk that one had signed up, not that one is coming', async () => {
    const { text } = await browser.get('/me');
    const [coming = '', past = ''] = text.split('<h2>Past walks</h2>');
    expect(coming).toContain('Coming, 2 people');
    expect(past).toContain('Signed up, 2 people');
    expect(past).not.toContain('Coming');
  });

  it('tells only leaders who sees their phone', async () => {
    expect((await browser.get('/me')).text).not.toContain('that you lead');
    services.db.write((tx) => {
      const [self] = tx.select().from(people).all();
      approveLeader(
        tx,
        { name: 'Ana Lopez', email: ANA, phone: '+12025550110', areaId: 1, pledge: 1, month: '2026-11' },
        self?.id ?? 0,
        NOON,
      );
    });
    expect((await browser.get('/me')).text).toContain('Those signed up for a walk that you lead see this number.');
  });

  it('says the same as JSON', async () => {
    const answer = await browser.get('/me.json');
    expect(answer.headers['cache-control']).toBe('no-store');
    expect(answer.body).toMatchObject({ name: 'Ana Lopez', email: ANA, phone: null, roles: ['Walker'] });
    expect(answer.body.sessions).toHaveLength(1);
    expect(answer.body.signUps).toHaveLength(2);
    expect(answer.body.signUps[0]).toMatchObject({ title: '8-mile walk: Quarry loop 1, Lantern Hills', people: 2, state: 'confirmed' });
  });

  it('saves name and phone', async () => {
    await browser.get('/me');
    expect((await browser.post('/me', { name: 'Ana <Maria>', phone: '202 555 0199' })).status).toBe(303);
    expect(services.db.q.select().from(people).all()).toMatchObject([{ name: 'Ana <Maria>', phone: '+12025550199' }]);
    expect((await browser.get('/me')).text).toContain('value="Ana &lt;Maria&gt;"');
    expect((await browser.get('/me')).text).toContain('value="+1 202 555 0199"');
  });

  it('keeps what was typed when it can’t be saved', async () => {
    await browser.get('/me');
    const answer = await browser.post('/me', { name: '', phone: 'call me' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Two things to mend');
    expect(answer.text).toContain('value="call me"');
    expect(services.db.q.select().from(people).all()).toMatchObject([{ name: 'Ana Lopez' }]);
  });

  it('sends those who are not signed in to sign in first', async () => {
    const answer = await new Browser(app).get('/me');
    expect(answer.status).toBe(303);
    expect(answer.headers.location).toBe('/sign-in?next=%2Fme');
    expect((await new Browser(app).get('/me.json')).status).toBe(303);
  });
});
