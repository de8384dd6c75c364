import type { Page } from 'playwright-core';
import { keepSignUp } from '../../server/signups/store.js';
import { contact, member, signUpForm } from '../support/sign-up.js';
import type { DemoSite, Visitor } from './demo-site.js';

const MINUTE_MS = 60_000;
/** What is told of each of them in confidence: none of it may ever be on a phone. */
export const NOTE = 'Carries an inhaler';
const CONTACT = 'Rosalind Kept-Apart';

export interface LaidRoll {
  walk: number;
  path: string;
  /** Everyone on it, by name. */
  names: string[];
  /** Phones, contacts, notes and addresses of theirs. */
  secrets: string[];
  coLeader: `${string}@${string}`;
}

/** A walk of the demo's leader, with a co-leader and two stops, that gathers in half an hour with so many people. */
export function layRoll(demo: DemoSite, people: number): LaidRoll {
  const { raw } = demo.db;
  const walk = raw
    .prepare("SELECT id FROM walks WHERE state = 'posted' AND gather_at > ? AND json_array_length(stops) >= 2 ORDER BY gather_at LIMIT 1")
    .pluck()
    .get(Date.now() + 60 * MINUTE_MS) as number;
  const gather = Date.now() + 30 * MINUTE_MS;
  raw.prepare('UPDATE walks SET gather_at = ?, set_off_at = ?, capacity = 400 WHERE id = ?').run(gather, gather + 15 * MINUTE_MS, walk);
  raw.prepare("UPDATE sign_ups SET state = 'withdrawn', withdrawn_at = ? WHERE walk_id = ?").run(Date.now(), walk);
  const coLeader = leadBy(demo, walk);
  const names = Array.from({ length: people }, (_, index) => `Walker ${String.fromCharCode(65 + (index % 26))}${index} Ferreira`);
  demo.db.write((tx) => names.forEach((name, index) => void keepSignUp(tx, demo.services, walk, formOf(name, index))));
  const secrets = [NOTE, CONTACT, ...names.flatMap((_, index) => [phoneOf(index), phoneOf(index + 400), emailOf(index)])];
  return { walk, path: `/lead/walks/${walk}/roll`, names, secrets, coLeader };
}

function leadBy({ db: { raw } }: DemoSite, walk: number): `${string}@${string}` {
  const [leader, other] = raw
    .prepare(
      "SELECT p.id, p.email FROM people p JOIN leaders l ON l.person_id = p.id WHERE l.state = 'approved' ORDER BY p.email = 'leader@waymeet.example' DESC, p.id LIMIT 2",
    )
    .all() as { id: number; email: `${string}@${string}` }[];
  if (!leader || !other) throw new Error('the demo has no two leaders');
  raw.prepare('DELETE FROM walk_leaders WHERE walk_id = ?').run(walk);
  raw
    .prepare("INSERT INTO walk_leaders (walk_id, person_id, part) VALUES (?, ?, 'leader'), (?, ?, 'co-leader')")
    .run(walk, leader.id, walk, other.id);
  return other.email;
}

const phoneOf = (index: number) => `+1202555${String(1000 + index)}`;
const emailOf = (index: number) => `walker-${index}@walkers.example`;

function formOf(name: string, index: number) {
  const [phone, ring] = [phoneOf(index), phoneOf(index + 400)];
  const kept = { ...contact(), name: CONTACT, phone: ring, phoneTyped: ring, note: NOTE };
  return signUpForm({ name, email: emailOf(index), phone, phoneTyped: phone, members: [member({ name, contact: kept })] });
}

/** Taps the main button of someone's row, as soon as it says so. */
export async function tap(page: Page, name: string, label: string): Promise<void> {
  await page.getByRole('button', { name: `${label}: ${name}`, exact: true }).click();
}

/** Waits until the roll is drawn by its script and this browser would show it without signal. */
export async function readyWithoutSignal(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await page.locator('.roll-live').waitFor();
  await page.evaluate(`(async () => {
    await navigator.serviceWorker.ready;
    while (!(await caches.match(${JSON.stringify(path)}))) await new Promise((go) => setTimeout(go, 20));
  })()`);
}

export interface Phone {
  page: Page;
  /** The bodies that it sent. */
  sent: string[];
  /** Answers of the roll that the browser's own cache may keep: there should be none. */
  keptByHttp: string[];
  /** Ends the tab as a phone does that wants the memory: nothing in it runs any more. */
  kill: () => Promise<void>;
  /** Opens the roll in a new tab. */
  reopen: () => Promise<void>;
  /** Sends a body again, as it was; its status. */
  replay: (body: string) => Promise<number>;
}

/** A phone with the roll open, ready to go without signal. */
export async function openRoll(demo: DemoSite, visitor: Visitor, { path }: LaidRoll): Promise<Phone> {
  const phone: Phone = {
    page: await demo.open(visitor, { viewport: { width: 390, height: 844 } }),
    sent: [],
    keptByHttp: [],
    kill: async () => {
      const session = await phone.page.context().newCDPSession(phone.page);
      const crashed = phone.page.waitForEvent('crash');
      // Nobody is left to answer.
      session.send('Page.crash').catch(() => undefined);
      await crashed;
    },
    reopen: async () => {
      const dead = phone.page;
      phone.page = await dead.context().newPage();
      await dead.close();
      await phone.page.goto(path);
      await phone.page.locator('.roll-live').waitFor();
    },
    replay: (body) =>
      phone.page.evaluate(
        `fetch(${JSON.stringify(path)}, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: ${JSON.stringify(body)} }).then((answer) => answer.status)`,
      ),
  };
  phone.page.context().on('request', (request) => {
    if (request.method() === 'POST') phone.sent.push(request.postData() ?? '');
  });
  phone.page.context().on('response', (answer) => {
    const kept = answer.headers()['cache-control'];
    if (answer.url().endsWith(path) && !answer.fromServiceWorker() && kept !== 'no-store')
      phone.keptByHttp.push(`${answer.url()}: ${kept}`);
  });
  await readyWithoutSignal(phone.page, path);
  return phone;
}

/** What was kept of a walk's roll. */
export function entriesIn({ db }: DemoSite, walk: number): { entry: string; who: string; said: string }[] {
  return db.raw.prepare('SELECT entry, who, said FROM roll_entries WHERE walk_id = ? ORDER BY id').all(walk) as {
    entry: string;
    who: string;
    said: string;
  }[];
}

const DUMP = `(async () => {
  const dump = [JSON.stringify({ ...localStorage }), JSON.stringify({ ...sessionStorage }), document.cookie];
  for (const { name } of await indexedDB.databases()) {
    const db = await new Promise((resolve) => { const asked = indexedDB.open(name); asked.onsuccess = () => resolve(asked.result); });
    for (const store of db.objectStoreNames) dump.push(store + await new Promise((resolve) => {
      const asked = db.transaction(store).objectStore(store).getAll();
      asked.onsuccess = () => resolve(JSON.stringify(asked.result));
    }));
    db.close();
  }
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const kept of await cache.keys()) dump.push(kept.url + ' ' + await (await cache.match(kept)).text());
  }
  return dump;
})()`;

/** All that a browser keeps of this site, but its HTTP cache. */
export function dumpOf(page: Page): Promise<string[]> {
  return page.evaluate(DUMP);
}

/** The same person signs in anew: forms of the session before are out of date. */
export async function signInAnew(demo: DemoSite, page: Page, visitor: Visitor): Promise<void> {
  const fresh = await demo.open(visitor);
  await page.context().addCookies(await fresh.context().cookies());
  await fresh.context().close();
}

const TAP = `(async (taps) => {
  const times = [];
  for (let tap = 0; tap < taps; tap += 1) {
    const button = document.querySelector('.roll-row .roll-main');
    const began = performance.now();
    button.click();
    await new Promise((shown) => requestAnimationFrame(() => setTimeout(shown)));
    times.push(performance.now() - began);
  }
  return times.sort((a, b) => a - b)[Math.floor(taps / 2)];
})`;

/** From tapping "Arrived" until it is painted, ms: the median of so many taps. */
export async function tapMillis(page: Page, taps: number): Promise<number> {
  return page.evaluate(`${TAP}(${taps})`);
}

/** Puts rolls of other walks into a browser, last heard of so long ago, some with something never sent. */
export async function layKept(page: Page, ages: [walk: number, ms: number, unsent: boolean][]): Promise<void> {
  await page.evaluate(`(async () => {
    for (const [walk] of ${JSON.stringify(ages)}) await caches.open('waymeet-roll-' + walk);
    const db = await new Promise((resolve) => { const asked = indexedDB.open('waymeet-roll'); asked.onsuccess = () => resolve(asked.result); });
    const tx = db.transaction(['rolls', 'unsent'], 'readwrite');
    for (const [walk, ms, unsent] of ${JSON.stringify(ages)}) {
      tx.objectStore('rolls').put({ walk, state: { title: 'kept-' + walk }, clockAhead: 0, keptAt: Date.now() - ms });
      if (unsent) tx.objectStore('unsent').put({ walk, entry: 'kept-' + walk });
    }
    await new Promise((resolve) => { tx.oncomplete = resolve; });
    db.close();
  })()`);
}
