import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { axeFaults } from './axe.js';
import { openWalk } from './day.js';
import { type DemoSite, openDemo, type Visitor } from './demo-site.js';

const PHONE = { width: 390, height: 844 };
/** Pages of one pattern ("/walks/:n") looked at; the rest are the same template. */
const EACH_PATTERN = 2;
/** What each must have reached, at least: a crawl that finds nothing proves nothing. */
const MUST_REACH: Record<Visitor, string[]> = {
  nobody: [
    '/',
    '/walks/:n',
    '/walks/:n/sign-up',
    '/areas',
    '/areas/:name',
    '/plan',
    '/sign-in',
    '/rules',
    '/waiver',
    '/handbook',
    '/handbook/:page',
    '/privacy',
  ],
  walker: ['/', '/walks/:n', '/handbook', '/lead/join/quiz', '/lead/join/quiz/:n', '/me', '/me/erase', '/me/log', '/sign-ups/:token'],
  leader: [
    '/lead',
    '/lead/walks/:n',
    '/lead/walks/:n/edit',
    '/lead/walks/:n/cancel',
    '/lead/walks/:n/pack',
    '/lead/walks/:n/roll',
    '/lead/walks/:n/roll?who',
    '/lead/walks/:n/roll/help',
    '/lead/walks/:n/roll/help?who',
    '/lead/walks/:n/roll/turned-up',
    '/lead/walks/:n/close',
    '/lead/walks/:n/incidents',
    '/lead/walks/:n/incidents/new',
    '/lead/walks/:n/weather',
    '/lead/walks/:n/message',
    '/lead/walks/:n/contacts',
    '/lead/walks/:n/waivers',
    '/lead/walks/:n/waivers/print',
    '/lead/walks/new',
    '/lead/join/quiz/:n',
  ],
  coordinator: [
    '/coordinate',
    '/coordinate/leaders',
    '/coordinate/areas',
    '/coordinate/areas/:name',
    '/coordinate/mail',
    '/coordinate/mail/:n',
    '/coordinate/forecast',
    '/coordinate/incidents',
    '/coordinate/incidents/:n',
    '/coordinate/incidents/summary',
    '/coordinate/report',
    '/coordinate/season',
    '/coordinate/season/:day',
    '/coordinate/texts',
    '/coordinate/texts/waiver',
    '/coordinate/texts/waiver/:n',
    '/coordinate/walkers',
    '/coordinate/quiz',
    '/coordinate/quiz/new',
    '/coordinate/quiz/:n',
  ],
};

let demo: DemoSite;

beforeAll(async () => {
  demo = await openDemo();
});
afterAll(async () => {
  await demo.close();
});

function pattern(path: string): string {
  return path
    .replace(/\?(?!who=).*$/, '')
    .replace(/\?who=.*$/, '?who')
    .replace(/^\/(sign-ups|sign-in)\/[^/]+/, '/$1/:token')
    .replace(/\/\d{4}-\d\d-\d\d$/, '/:day')
    .replace(/\/\d+/g, '/:n')
    .replace(/^\/handbook\/[^/]+/, '/handbook/:page')
    .replace(/^(\/coordinate)?\/areas\/[^/]+/, '$1/areas/:name');
}

/** What no link that a leader sees leads to at every hour, or only one that a script draws: someone on an open roll, and a walk that is closed. */
function unlinked(): string[] {
  const [open, { raw }] = [openWalk(demo), demo.db];
  const who = raw
    .prepare("SELECT min(m.id) FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id WHERE s.walk_id = ? AND s.state = 'confirmed'")
    .pluck()
    .get(open) as number;
  const closed = raw
    .prepare(
      `SELECT max(w.id) FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id
       WHERE p.email = 'leader@waymeet.example' AND w.state = 'closed'`,
    )
    .pluck()
    .get() as number;
  return [`/lead/walks/${open}/roll?who=m${who}`, `/lead/walks/${open}/roll/help?who=m${who}`, `/lead/walks/${closed}/close`];
}

interface Found {
  reached: Set<string>;
  faults: string[];
}

async function crawl(visitor: Visitor, script: boolean): Promise<Found> {
  const page = await demo.open(visitor, { javaScriptEnabled: script, viewport: PHONE });
  const faults: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(`${page.url()}: ${message.text()}`);
  });
  page.on('pageerror', (error) => faults.push(`${page.url()}: ${error.message}`));
  page.on('request', (request) => {
    if (!request.url().startsWith(demo.url)) faults.push(`${page.url()} asks for ${request.url()}`);
  });
  const queue = ['/', ...(visitor === 'leader' ? unlinked() : [])];
  const seen = new Map<string, number>();
  const reached = new Set<string>();
  const visited = new Set<string>();
  for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
    const kind = pattern(path);
    const times = seen.get(kind) ?? 0;
    if (visited.has(path) || times >= EACH_PATTERN || /\.(ics|json|atom|gpx|csv)|^\/me\/waivers\//.test(path)) continue;
    visited.add(path);
    seen.set(kind, times + 1);
    const answer = await page.goto(path);
    if (answer?.status() !== 200) faults.push(`${path}: ${answer?.status()}`);
    reached.add(kind);
    faults.push(...(await lookAt(page, script)).map((fault) => `${path}: ${fault}`));
    queue.push(...(await links(page)));
  }
  await page.context().close();
  return { reached, faults };
}

async function lookAt(page: Page, script: boolean): Promise<string[]> {
  const wide = await page.evaluate('document.documentElement.scrollWidth - document.documentElement.clientWidth');
  const faults = Number(wide) > 0 ? [`is ${String(wide)} px wider than a phone`] : [];
  return script ? [...faults, ...(await axeFaults(page))] : faults;
}

async function links(page: Page): Promise<string[]> {
  const hrefs = await page.locator('a[href]').evaluateAll((all) => all.map((link) => (link as unknown as { href: string }).href));
  return hrefs.filter((href) => href.startsWith(`${demo.url}/`) && !href.includes('#')).map((href) => href.slice(demo.url.length));
}

describe.each(['nobody', 'walker', 'leader', 'coordinator'] as const)(
  'every page that a link leads %s to',
  { timeout: 120_000 },
  (visitor) => {
    it.each([
      ['on', true],
      ['off', false],
    ])('is well-formed, within its policy, open to all and no wider than a phone, script %s', async (_, script) => {
      const { reached, faults } = await crawl(visitor, script);
      expect(faults).toEqual([]);
      expect(MUST_REACH[visitor].filter((kind) => !reached.has(kind))).toEqual([]);
    });
  },
);

it.each(['/', '/walks/WALK', '/walks/WALK/sign-up'])('%s weighs less than 60 kB, typeface and all', async (path) => {
  const page = await demo.open('nobody', { viewport: PHONE });
  let bytes = 0;
  const session = await page.context().newCDPSession(page);
  await session.send('Network.enable');
  session.on('Network.loadingFinished', (event) => {
    bytes += event.encodedDataLength;
  });
  const walk = demo.db.q.query.walks
    .findFirst({ where: (row, { and, eq, gt }) => and(eq(row.state, 'posted'), gt(row.gatherAt, Date.now())) })
    .sync();
  await page.goto(path.replace('WALK', String(walk?.id)), { waitUntil: 'networkidle' });
  expect(bytes).toBeGreaterThan(20_000);
  expect(bytes).toBeLessThan(60_000);
  await page.context().close();
});
