// Takes the pictures README shows, and any page asked for: `npm run pictures`, or `npm run pictures -- /lead leader 390 dark`.
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { ROOT } from '../../server/config.js';
import { fromGatheringToClosing, layDay, openWalk } from './day.js';
import { type DemoSite, openDemo, type Visitor } from './demo-site.js';
import { fromApplyingToPosting } from './leading.js';

const KEPT = join(ROOT, 'tests/browser/pictures');
const LOOSE = join(ROOT, 'tests/browser/out');
const WIDTHS = [390, 1280];
/** A step is shown so far down, px. */
const TALLEST = 2400;

interface Shot {
  name: string;
  visitor: Visitor;
  /** Kept in this look instead of light. */
  look?: 'dark' | 'print';
  /** Brings the page to what the picture shows. */
  go: (page: Page, demo: DemoSite) => Promise<unknown>;
}

/** A coming walk of the demo leader with many signed up. */
function busyWalk(demo: DemoSite): number {
  const row = demo.db.raw
    .prepare(
      `SELECT w.id FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id
       WHERE p.email = 'leader@waymeet.example' AND w.state = 'posted' AND w.gather_at > ?
       ORDER BY (SELECT count(*) FROM sign_ups s WHERE s.walk_id = w.id) DESC LIMIT 1`,
    )
    .get(Date.now()) as { id: number };
  return row.id;
}

/** The coming walk with stops whose length is nearest to so many miles. */
function walkOf(demo: DemoSite, miles: number): number {
  const row = demo.db.raw
    .prepare(
      `SELECT id FROM walks WHERE state = 'posted' AND gather_at > ? AND json_array_length(stops) > 0
       ORDER BY abs(distance_metres - ?), gather_at LIMIT 1`,
    )
    .get(Date.now(), miles * METRES_PER_MILE) as { id: number };
  return row.id;
}

/** A walk looked over before it is posted: six things found. */
async function checkedForm(page: Page): Promise<void> {
  await page.goto('/lead/walks/new');
  await page.selectOption('#area', 'lantern-hills');
  const fields = {
    date: new Date(Date.now() + 12 * 86_400_000).toISOString().slice(0, 10),
    gather: '14:00',
    setOff: '14:15',
    meetingPoint: 'Lantern Park',
    landmark: 'the drinking fountain by the playground fence',
    lat: '37.43511',
    lon: '-85.63498',
    routeName: 'Quarry Lakes loop',
    locality: 'Lantern Hills',
    distance: '8.2',
    ascent: '520',
  };
  for (const [field, value] of Object.entries(fields)) await page.locator(`#${field}`).fill(value);
  await page.getByRole('checkbox', { name: 'steps' }).check();
  await page.getByRole('button', { name: 'Check the walk' }).click();
}

/** A family of four signs up, and one thing is missing: who looks after the second child. */
async function refusedSignUp(page: Page, demo: DemoSite): Promise<void> {
  await page.goto(`/walks/${familyWalk(demo)}/sign-up`);
  const booker = {
    name: 'Ana Ferreira',
    email: 'ana@walkers.example',
    phone: '(202) 555-0123',
    'members-0-contactName': 'Rui Ferreira',
    'members-0-contactRelation': 'brother',
    'members-0-contactPhone': '(202) 555-0188',
  };
  for (const [field, value] of Object.entries(booker)) await page.fill(`#${field}`, value);
  await page.getByRole('button', { name: 'Add another adult' }).click();
  await page.fill('#members-1-name', 'Ben Birch');
  await page.check('#members-1-sameContact');
  for (const [place, name] of ['Kit Ferreira', 'Kay Birch'].entries()) {
    await page.getByRole('button', { name: 'Add someone under 18' }).click();
    await page.fill(`#members-${place + 2}-name`, name);
    await page.check(`#members-${place + 2}-sameContact`);
  }
  await page.selectOption('#members-2-guardian', { label: 'Ana Ferreira' });
  for (const [place, name] of ['Ana Ferreira', 'Ben Birch', 'Ana Ferreira', 'Ben Birch'].entries())
    await page.fill(`#members-${place}-signature`, name);
  await page.check('#agreeRules');
  await page.check('#agreeWaiver');
  await page.locator('button.do').click();
}

/** A coming walk that takes under-18s and has room for a family. */
function familyWalk(demo: DemoSite): number {
  const row = demo.db.raw
    .prepare(
      "SELECT id FROM walks WHERE minors = 1 AND state = 'posted' AND gather_at > ? AND capacity >= 16 ORDER BY gather_at DESC LIMIT 1",
    )
    .get(Date.now()) as { id: number };
  return row.id;
}

/** The demo leader's walk of today, within the window of its emergency details, or the next with the family on it, before it. */
function leadersWalk(demo: DemoSite, which: 'today' | 'family'): number {
  const family = "EXISTS (SELECT 1 FROM sign_ups s WHERE s.walk_id = w.id AND s.email = 'walker@waymeet.example' AND s.party_size = 4)";
  const row = demo.db.raw
    .prepare(
      `SELECT w.id FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id
       WHERE p.email = 'leader@waymeet.example' AND ${which === 'family' ? family : `w.gather_at > ? - 86400000`}
       ORDER BY w.gather_at LIMIT 1`,
    )
    .get(...(which === 'family' ? [] : [Date.now()])) as { id: number };
  return row.id;
}

async function openedContacts(page: Page, demo: DemoSite): Promise<void> {
  await page.goto(`/lead/walks/${leadersWalk(demo, 'today')}/contacts`);
  await page.locator('input[name="reason"]').first().check();
  await page.locator('input[name="member"]').first().check();
  await page.locator('button.do').click();
}

/** A series looked over before it is made. */
async function seriesDates(page: Page, demo: DemoSite): Promise<void> {
  await page.goto(`/lead/walks/${leadersWalk(demo, 'family')}/repeat`);
  await page.fill('#count', '6');
  await page.locator('button.do').click();
}

async function changedWaiver(page: Page): Promise<void> {
  await page.goto('/coordinate/texts/waiver');
  const text = await page.inputValue('#body');
  const changed = text
    .replace('fit for the walk', 'fit for this walk, its length and its climb')
    .replace('# For a child', '- I tell the leader before we set off of anything that could matter on the way.\n\n# For a child');
  await page.fill('#body', changed);
  await page.locator('button.do').click();
}

async function preview(page: Page, demo: DemoSite): Promise<void> {
  await page.goto(`/lead/walks/${busyWalk(demo)}/edit`);
  await page.fill('#meetingPoint', 'North gate of the weir');
  await page.fill('#landmark', 'under the tall lamp, by the map board');
  await page.locator('#gather').fill('09:15');
  await page.locator('#setOff').fill('09:30');
  await page.getByRole('button', { name: 'See who will be told' }).click();
}

/** The newest mail of a kind, as coordinators read it. */
function mailOf(kind: string) {
  return async (page: Page, demo: DemoSite): Promise<void> => {
    const row = demo.db.raw.prepare('SELECT id FROM notices WHERE kind = ? ORDER BY id DESC LIMIT 1').get(kind) as { id: number };
    await page.goto(`/coordinate/mail/${row.id}`);
  };
}

const SHOTS: Shot[] = [
  { name: 'timetable', visitor: 'nobody', go: (page) => page.goto('/') },
  { name: 'walk', visitor: 'nobody', go: (page, demo) => page.goto(`/walks/${busyWalk(demo)}`) },
  { name: 'walk-4-miles', visitor: 'nobody', go: (page, demo) => page.goto(`/walks/${walkOf(demo, 4)}`) },
  { name: 'walk-12-miles', visitor: 'nobody', go: (page, demo) => page.goto(`/walks/${walkOf(demo, 12)}`) },
  { name: 'walk-22-miles', visitor: 'nobody', go: (page, demo) => page.goto(`/walks/${walkOf(demo, 22)}`) },
  { name: 'walk-form', visitor: 'leader', go: checkedForm },
  { name: 'walk-on-paper', visitor: 'nobody', look: 'print', go: (page, demo) => page.goto(`/walks/${walkOf(demo, 12)}`) },
  { name: 'sign-up', visitor: 'nobody', go: refusedSignUp },
  { name: 'lead-walk-before', visitor: 'leader', go: (page, demo) => page.goto(`/lead/walks/${leadersWalk(demo, 'family')}`) },
  { name: 'lead-walk-open', visitor: 'leader', go: (page, demo) => page.goto(`/lead/walks/${leadersWalk(demo, 'today')}`) },
  { name: 'contacts', visitor: 'leader', go: openedContacts },
  { name: 'waivers-on-paper', visitor: 'leader', go: (page, demo) => page.goto(`/lead/walks/${leadersWalk(demo, 'family')}/waivers`) },
  { name: 'lead-good-month', visitor: 'leader', go: (page) => page.goto('/lead') },
  { name: 'lead-short-month', visitor: 'otis.marchbanks@waymeet.example', go: (page) => page.goto('/lead') },
  { name: 'leaders', visitor: 'coordinator', go: (page) => page.goto('/coordinate/leaders') },
  { name: 'together', visitor: 'leader', go: (page, demo) => page.goto(`/lead/walks/${leadersWalk(demo, 'family')}/together`) },
  { name: 'series', visitor: 'leader', go: seriesDates },
  { name: 'me', visitor: 'walker', go: (page) => page.goto('/me') },
  { name: 'privacy', visitor: 'nobody', go: (page) => page.goto('/privacy') },
  { name: 'texts', visitor: 'coordinator', go: changedWaiver },
  { name: 'preview', visitor: 'leader', go: preview },
  { name: 'board', visitor: 'coordinator', go: (page) => page.goto('/coordinate') },
  {
    name: 'board-open',
    visitor: 'coordinator',
    go: (page) => page.goto(`/coordinate?area=millbrook&month=${new Date(Date.now() + 120 * 86_400_000).toISOString().slice(0, 7)}#open`),
  },
  { name: 'proposals', visitor: 'coordinator', go: (page) => page.goto('/coordinate/proposals') },
  { name: 'forecast', visitor: 'coordinator', go: (page) => page.goto('/coordinate/forecast') },
  { name: 'report', visitor: 'coordinator', go: (page) => page.goto('/coordinate/report') },
  { name: 'incidents', visitor: 'coordinator', go: (page) => page.goto('/coordinate/incidents') },
  { name: 'plan', visitor: 'nobody', go: (page) => page.goto('/plan') },
  { name: 'log', visitor: 'walker', go: (page) => page.goto('/me/log') },
  { name: 'roll', visitor: 'leader', look: 'dark', go: (page, demo) => page.goto(`/lead/walks/${openWalk(demo)}/roll`) },
  { name: 'mail', visitor: 'coordinator', go: (page) => page.goto('/coordinate/mail') },
  { name: 'notice', visitor: 'coordinator', go: mailOf('change') },
  { name: 'ask-mail', visitor: 'coordinator', go: mailOf('ask') },
  { name: 'board-on-paper', visitor: 'coordinator', look: 'print', go: (page) => page.goto('/coordinate') },
  { name: 'proposals-on-paper', visitor: 'coordinator', look: 'print', go: (page) => page.goto('/coordinate/proposals') },
  { name: 'plan-on-paper', visitor: 'nobody', look: 'print', go: (page) => page.goto('/plan') },
];

async function take(demo: DemoSite, shot: Shot, folder: string, widths: number[], look: string): Promise<void> {
  for (const width of widths) {
    const page = await demo.open(shot.visitor, { viewport: { width, height: 900 }, colorScheme: look === 'dark' ? 'dark' : 'light' });
    if (look === 'print') await page.emulateMedia({ media: 'print' });
    await shot.go(page, demo);
    const path = join(folder, `${shot.name}-${width}-${look}.png`);
    await page.screenshot({ path, fullPage: true });
    process.stdout.write(`${path}\n`);
    await page.context().close();
  }
}

/** Someone's whole way to leading, a picture a step: one person a width, without script. */
async function takeLeading(demo: DemoSite, folder: string): Promise<void> {
  for (const [name, width] of [
    ['Ines Calloway', 390],
    ['Odile Farrow', 1280],
  ] as const) {
    const options = { viewport: { width, height: 900 }, javaScriptEnabled: false };
    let steps = 0;
    const seen = async (step: string, page: Page) => {
      steps += 1;
      await takeStep(page, folder, `leading-${String(steps).padStart(2, '0')}-${step}`, width);
    };
    const email = `${name.toLowerCase().replace(' ', '.')}@walkers.example`;
    const [applicant, coordinator] = [await demo.open('nobody', options), await demo.open('coordinator', options)];
    await fromApplyingToPosting(demo, { email, name, seen }, applicant, coordinator);
    await applicant.context().close();
    await coordinator.context().close();
  }
}

async function takeStep(page: Page, folder: string, step: string, width: number): Promise<void> {
  const path = join(folder, `${step.replaceAll(' ', '-')}-${width}-light.png`);
  const window = page.viewportSize() ?? { width, height: 900 };
  // In a window as tall as the page, what sticks to its edges covers nothing.
  const height = Number(await page.evaluate('document.documentElement.scrollHeight'));
  await page.setViewportSize({ width, height: Math.min(Math.max(height, window.height), TALLEST) });
  await page.evaluate('scrollTo(0, 0)');
  await page.screenshot({ path });
  await page.setViewportSize(window);
  process.stdout.write(`${path}\n`);
}

/** A walk's whole day, a picture a step: once a width, in a region of its own. */
async function takeDay(folder: string, widths: number[]): Promise<void> {
  for (const width of widths) {
    const demo = await openDemo();
    const options = { viewport: { width, height: 900 } };
    let steps = 0;
    const seen = async (step: string, page: Page) => {
      steps += 1;
      await takeStep(page, folder, `day-${String(steps).padStart(2, '0')}-${step}`, width);
    };
    const [leader, coordinator] = [await demo.open('leader', options), await demo.open('coordinator', options)];
    const hands = { leader, coordinator, walker: await demo.open('walker', options), script: true, seen };
    await fromGatheringToClosing(layDay(demo), hands);
    await demo.close();
  }
}

const [path, visitor = 'nobody', width = '390', look = 'light'] = process.argv.slice(2);
const demo = await openDemo();
mkdirSync(path ? LOOSE : KEPT, { recursive: true });
const known = SHOTS.find((shot) => shot.name === path);
const asked = known ?? { name: (path ?? '').replace(/\W+/g, '-'), visitor: visitor as Visitor, go: (page: Page) => page.goto(path ?? '/') };
if (path === 'leading') await takeLeading(demo, LOOSE);
else if (path === 'day') await takeDay(LOOSE, WIDTHS);
else if (path) await take(demo, asked, LOOSE, known ? WIDTHS : [Number(width)], known ? (process.argv[3] ?? known.look ?? 'light') : look);
else {
  for (const shot of SHOTS) await take(demo, shot, KEPT, WIDTHS, shot.look ?? 'light');
  await takeLeading(demo, KEPT);
  await takeDay(KEPT, [390]);
}
await demo.close();
