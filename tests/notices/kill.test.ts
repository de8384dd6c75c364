import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readConfig } from '../../server/config.js';
import { openFolder } from '../../server/db/folder.js';
import { connect } from '../../server/db/open.js';
import { areas, leaders, people } from '../../server/db/schema/index.js';
import { startSession } from '../../server/people/sessions.js';
import type { Services } from '../../server/services.js';
import { saveSettings, settingsReader } from '../../server/settings/store.js';
import { keepSignUp } from '../../server/signups/store.js';
import { layDownSamples } from '../../server/texts/store.js';
import { typedFrom } from '../../server/walks/form-page.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { walkFacts } from '../support/cast.js';
import { type MailSink, openMailSink, parsed } from '../support/mail-sink.js';
import { pause, type RunningSite, spawnSite } from '../support/process.js';
import { signUpForm } from '../support/sign-up.js';

const WALKERS = ['ana@walkers.example', 'bo@walkers.example', 'cy@walkers.example'];
const DAY_MS = 24 * 60 * 60_000;

/** Where the process is killed: as the sink reaches a step of some mail, or some milliseconds after the edit was posted. */
const LANES = [
  { name: 'at MAIL', step: 'mail', rounds: 8 },
  { name: 'at RCPT', step: 'rcpt', rounds: 8 },
  { name: 'at DATA', step: 'data', rounds: 8 },
  { name: 'after the message, before its 250', step: 'end', rounds: 9 },
  { name: 'right after the 250', step: 'answered', rounds: 9 },
  { name: 'at any moment after the edit', step: null, rounds: 8 },
] as const;

/** A data folder with one walk twenty days off, three sign-ups, and its leader's session. */
function layFolder(dataDir: string) {
  const config = readConfig({ DATA_DIR: dataDir, BASE_URL: 'http://walks.example' });
  const data = openFolder(config, () => {});
  const now = Date.now();
  let made = 0;
  const { db, sealer } = data;
  const services = {
    config,
    db,
    sealer,
    now: () => now,
    secret: () => `${'s'.repeat(40)}${made++}`,
    settings: settingsReader(db),
    mailOwed: () => {},
  } as unknown as Services;
  const leaderId = db.write((tx) => {
    saveSettings(tx, { groupName: 'Harrow Fells Walkers' });
    layDownSamples(tx, now);
    const area = { slug: 'lantern-hills', name: 'Lantern Hills', lat: 41.3, lon: -85.1, zone: 'America/New_York' };
    tx.insert(areas)
      .values({ ...area, radiusMetres: 16_000, emergencyNumber: '911', createdAt: now })
      .run();
    const leader = { name: 'Lena Marsh', email: 'leader@waymeet.example', phone: '+12025550110', createdAt: now };
    const { id } = tx.insert(people).values(leader).returning({ id: people.id }).get();
    tx.insert(leaders).values({ personId: id, areaId: 1, state: 'approved', sinceMonth: '2026-11', createdAt: now }).run();
    return id;
  });
  const facts = walkFacts({ date: new Date(now + 20 * DAY_MS).toISOString().slice(0, 10) });
  const walkId = saveNewWalk(services, facts, leaderId, 'posted');
  for (const email of WALKERS) services.db.write((tx) => keepSignUp(tx, services, walkId, signUpForm({ email })));
  const token = db.write((tx) => startSession(tx, services, leaderId));
  const csrf = sealer.derive('form', token);
  data.close();
  return { walkId, facts, cookie: `session=${token}`, csrf };
}

type Folder = ReturnType<typeof layFolder>;

/** Posts the edit; throws where it is not taken, or the process goes before it answers. */
async function postEdit(site: RunningSite, folder: Folder, version: number, landmark: string): Promise<void> {
  const typed = {
    ...typedFrom({ ...folder.facts, landmark }, 'lantern-hills', folder.facts.zone, 'mi'),
    version: String(version),
    intent: 'save',
    csrf: folder.csrf,
  };
  const body = new URLSearchParams(
    Object.entries(typed).flatMap(([name, value]) => [value].flat().map((one): [string, string] => [name, String(one)])),
  );
  const headers = { Cookie: folder.cookie, 'Sec-Fetch-Site': 'same-origin', Connection: 'close' };
  const page = `/lead/walks/${folder.walkId}`;
  const answer = await fetch(`${site.url}${page}/edit`, { method: 'POST', body, headers, redirect: 'manual' });
  const to = answer.headers.get('location') ?? '';
  if (answer.status !== 303 || !to.startsWith(page)) throw new Error(`the edit was refused: ${answer.status} ${to}`);
}

/** Looks into the database of the running service until nothing is open; gives what it found. */
async function settled(dataDir: string): Promise<{ landmark: string; version: number; integrity: string; unsent: number }> {
  const raw = connect(join(dataDir, 'waymeet.db'));
  try {
    const open = raw.prepare("SELECT count(*) FROM notices WHERE state IN ('pending', 'sending')").pluck();
    for (let turn = 0; open.get() !== 0; turn += 1) {
      if (turn > 1500)
        throw new Error(
          `mail is stuck: ${JSON.stringify(raw.prepare("SELECT * FROM notices WHERE state IN ('pending', 'sending')").all())}`,
        );
      await pause(10);
    }
    const walk = raw.prepare('SELECT landmark, version FROM walks').get() as { landmark: string; version: number };
    const unsent = raw.prepare("SELECT count(*) FROM notices WHERE state <> 'sent'").pluck().get() as number;
    return { ...walk, unsent, integrity: String(raw.pragma('integrity_check', { simple: true })) };
  } finally {
    raw.close();
  }
}

/** Kills `site` when the sink reaches `step` for the `nth` time from now. */
function killAt(sink: MailSink, site: RunningSite, step: string, nth: number): void {
  let left = nth;
  sink.watch((seen) => {
    if (seen !== step) return;
    left -= 1;
    if (left === 0) void site.kill();
  });
}

async function round(
  lane: (typeof LANES)[number],
  turn: number,
  at: { dataDir: string; folder: Folder; sink: MailSink; site: RunningSite; version: number },
) {
  const { dataDir, folder, sink } = at;
  const landmark = `by gate ${turn}`;
  const before = sink.mails.length;
  const edit = postEdit(at.site, folder, at.version, landmark).catch((error: unknown) => {
    // The process was killed before it answered: what it had stored is seen below.
    if (!(error instanceof TypeError)) throw error;
  });
  if (lane.step === null) {
    await pause((turn * 7) % 40);
    await at.site.kill();
  } else {
    killAt(sink, at.site, lane.step, 1 + (turn % WALKERS.length));
    await at.site.gone;
  }
  await edit;
  sink.watch(() => {});
  const site = await spawnSite(dataDir, environment(sink));
  let found = await settled(dataDir);
  if (found.landmark !== landmark) {
    // Killed before the edit was stored: nobody may have heard of it, and the leader saves again.
    expect(sink.mails.length).toBe(before);
    await postEdit(site, folder, found.version, landmark);
    found = await settled(dataDir);
  }
  expect(found).toMatchObject({ landmark, integrity: 'ok', unsent: 0 });
  await expectOneEach(sink.mails.slice(before), landmark);
  return { site, version: found.version };
}

/** Each walker was told once, and rightly; of all, one mail at most came twice. */
async function expectOneEach(mails: MailSink['mails'], landmark: string): Promise<void> {
  const read = await Promise.all(mails.map(async (mail) => ({ to: mail.to.join(), parsed: await parsed(mail) })));
  for (const { parsed: mail } of read) expect(mail.text).toContain(`now:    ${landmark}\n`);
  const told = new Set(read.map((mail) => `${mail.to} ${mail.parsed.messageId}`));
  expect([...told].map((one) => one.split(' ')[0]).sort()).toEqual(WALKERS);
  expect(read.length - told.size).toBeLessThanOrEqual(1);
}

function environment(sink: MailSink): Record<string, string> {
  return { BASE_URL: 'http://walks.example', SMTP_URL: sink.url, NOTICE_HOLD: '0' };
}

describe('the real process, killed half-way', () => {
  it.concurrent.each(LANES)(
    '$name, $rounds times: nobody is left out, at most one mail comes twice',
    { timeout: 120_000 },
    async (lane) => {
      const dataDir = mkdtempSync(join(tmpdir(), 'waymeet-kill-'));
      const folder = layFolder(dataDir);
      const sink = await openMailSink();
      let site = await spawnSite(dataDir, environment(sink));
      try {
        await settled(dataDir);
        expect(sink.mails.map((mail) => mail.to.join()).sort()).toEqual(WALKERS);
        let version = 1;
        for (let turn = 1; turn <= lane.rounds; turn += 1)
          ({ site, version } = await round(lane, turn, { dataDir, folder, sink, site, version }));
      } finally {
        await site.kill();
        await sink.close();
        rmSync(dataDir, { recursive: true, force: true });
      }
    },
  );
});
