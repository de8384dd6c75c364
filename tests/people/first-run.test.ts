import { beforeEach, describe, expect, it } from 'vitest';
import { areas, auditLog, leaders, leaderTerms, people, pledges, settings, texts } from '../../server/db/schema/index.js';
import { announceFirstRun, firstRunCode } from '../../server/people/first-run.js';
import type { Services } from '../../server/services.js';
import { openSite, type TestSite } from '../support/app.js';
import { Browser } from '../support/browser.js';

// In New York it is still the last of November.
const START = Date.UTC(2026, 11, 1, 3);

const FIELDS = {
  groupName: 'Harrow Fells Walkers',
  units: 'km',
  clock: '24',
  name: 'Ana "Trail" Lopez',
  email: 'Ana@Walkers.example',
  phone: '(202) 555-0123',
  areaName: 'Lantern Hills',
  zone: 'America/New_York',
  lat: '40.1',
  lon: '-75.2',
  radius: '12',
  emergencyNumber: '911',
};

let site: TestSite;
let services: Services;
let browser: Browser;

beforeEach(async () => {
  site = await openSite();
  ({ services } = site);
  site.clock.now = START;
  site.db.write((tx) => {
    for (const table of [settings, texts, areas]) tx.delete(table).run();
  });
  browser = new Browser(site.app);
});

/** What the log said so far, taken out of it. */
function logged(): string {
  return site.log.splice(0).join('\n');
}

describe('the first run', () => {
  it('is where every page leads until there is a group', async () => {
    expect((await browser.get('/sign-in')).headers.location).toBe('/first-run');
    expect((await browser.get('/first-run')).status).toBe(200);
  });

  it('makes group, coordinator, area and texts, and signs the coordinator in', async () => {
    const made = await browser.post('/first-run', { code: firstRunCode(services), ...FIELDS });
    expect(made.status).toBe(303);
    expect(made.headers.location).toBe('/coordinate');
    const { q } = services.db;
    expect(services.settings()).toMatchObject({ groupName: 'Harrow Fells Walkers', units: 'km', clock: 24 });
    expect(q.select().from(areas).all()).toMatchObject([{ slug: 'lantern-hills', radiusMetres: 12_000, zone: 'America/New_York' }]);
    expect(q.select().from(people).all()).toMatchObject([{ email: 'ana@walkers.example', coordinator: true, phone: '+12025550123' }]);
    expect(q.select().from(leaders).all()).toMatchObject([{ state: 'approved', sinceMonth: '2026-12' }]);
    expect(q.select().from(pledges).all()).toMatchObject([{ fromMonth: '2026-12', walks: 1 }]);
    expect(q.select().from(leaderTerms).all()).toMatchObject([{ fromMonth: '2026-12', untilMonth: null }]);
    expect((await browser.get('/coordinate/leaders')).text).not.toContain('<span class="state short">short by');
    expect(q.select().from(texts).all()).toHaveLength(5);
    expect(q.select().from(auditLog).all()).toMatchObject([{ action: 'group made' }]);
    const me = await browser.get('/me');
    expect(me.text).toContain('ana@walkers.example');
    expect(me.text).toContain('Coordinator');
    expect((await browser.get('/rules')).text).toContain('No headphones');
  });

  it('happens once', async () => {
    const code = firstRunCode(services);
    await browser.post('/first-run', { code, ...FIELDS });
    expect((await browser.get('/first-run')).status).toBe(404);
    expect((await new Browser(site.app).post('/first-run', { code, ...FIELDS })).status).toBe(404);
    expect(services.db.q.select().from(people).all()).toHaveLength(1);
  });

  it('needs the code from the log', async () => {
    announceFirstRun(services);
    const printed = /code: ([0-9A-Z ]+)/.exec(logged())?.[1]?.trim() ?? '';
    const wrong = await browser.post('/first-run', { code: 'AAAA', ...FIELDS });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('value="Ana &quot;Trail&quot; Lopez"');
    expect(wrong.text).toContain('value="AAAA"');
    expect(services.db.q.select().from(people).all()).toEqual([]);
    expect((await browser.post('/first-run', { code: printed.toLowerCase(), ...FIELDS })).status).toBe(303);
  });

  it('makes a new code at the tenth wrong one, and prints it', async () => {
    const first = firstRunCode(services);
    for (let time = 1; time <= 9; time += 1) await browser.post('/first-run', { code: 'AAAA', ...FIELDS });
    expect(firstRunCode(services)).toBe(first);
    await browser.post('/first-run', { code: 'AAAA', ...FIELDS });
    expect(firstRunCode(services)).not.toBe(first);
    expect(logged().replaceAll(' ', '')).toContain(firstRunCode(services));
    expect((await browser.post('/first-run', { code: first, ...FIELDS })).status).toBe(422);
  });

  it('shows each fault and keeps what was typed', async () => {
    const answer = await browser.post('/first-run', { code: firstRunCode(services), ...FIELDS, email: 'ana', zone: 'Eastern <time>' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('<title>Error: ');
    expect(answer.text).toContain('Two things to mend');
    expect(answer.text).toContain('value="Eastern &lt;time&gt;"');
    expect(services.db.q.select().from(people).all()).toEqual([]);
  });

  it('says nothing in the log once there is a group', async () => {
    await browser.post('/first-run', { code: firstRunCode(services), ...FIELDS });
    announceFirstRun(services);
    expect(site.log).toEqual([]);
  });
});
