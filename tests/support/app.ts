import { copyFileSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { expect } from 'vitest';
import { buildApp } from '../../server/app.js';
import { type Config, ROOT, readConfig } from '../../server/config.js';
import type { AssignmentSolver } from '../../server/coverage/solve.js';
import { bringUp } from '../../server/db/bring-up.js';
import { connect, type Db, wrap } from '../../server/db/open.js';
import { areas } from '../../server/db/schema/index.js';
import { Sealer } from '../../server/db/seal.js';
import type { Services } from '../../server/services.js';
import { saveSettings } from '../../server/settings/store.js';
import { layDownSamples } from '../../server/texts/store.js';
import { Views } from '../../server/web/render.js';
import { solverHere } from './solver.js';

/** Noon UTC, a Wednesday: where the tests' clock starts. */
export const NOON = Date.UTC(2026, 10, 25, 12);

const KEY = Buffer.alloc(32, 7);

const folder = mkdtempSync(join(tmpdir(), 'waymeet-test-'));
const template = join(folder, 'template.db');
const files: string[] = [];
let copies = 0;
const views = new Views(join(ROOT, 'views'));

// Not after a test file: the process goes on to the next with the same modules (tests/vitest.config.ts).
process.once('exit', () => {
  rmSync(folder, { recursive: true, force: true });
});

/** A migrated database file with the group, its texts and two areas across a time-zone line: made once a process, copied for each test. */
export function freshDatabase(): Db {
  if (!existsSync(template)) makeTemplate();
  copies += 1;
  const file = join(folder, `copy-${copies}.db`);
  copyFileSync(template, file);
  files.push(file);
  return wrap(connect(file));
}

function makeTemplate(): void {
  const raw = connect(template);
  bringUp(raw, { keys: [KEY], from: 'SEAL_KEY' }, () => {});
  const db = wrap(raw);
  db.write((tx) => {
    saveSettings(tx, { groupName: 'Harrow Fells Walkers' });
    layDownSamples(tx, NOON);
    const shared = { radiusMetres: 16_000, emergencyNumber: '911', createdAt: NOON };
    tx.insert(areas)
      .values([
        { ...shared, slug: 'lantern-hills', name: 'Lantern Hills', lat: 41.3, lon: -85.1, zone: 'America/New_York' },
        { ...shared, slug: 'east-fork', name: 'East Fork', lat: 41.2, lon: -87.2, zone: 'America/Chicago' },
      ])
      .run();
  });
  raw.pragma('wal_checkpoint(TRUNCATE)');
  raw.close();
}

export interface TestSite {
  app: FastifyInstance;
  db: Db;
  services: Services;
  views: Views;
  config: Config;
  /** The clock: tests move it. */
  clock: { now: number };
  /** Every line the log wrote, warnings and worse. A test that expects some takes them out; any left fail it. */
  log: string[];
}

const open: TestSite[] = [];

/** The whole service over a fresh database file (a mail server is set, and nothing delivers), closed when the test ends; a warning nobody expected fails the test. */
export async function openSite(set: Partial<Record<string, string>> = {}, solver: AssignmentSolver = solverHere): Promise<TestSite> {
  const db = freshDatabase();
  const clock = { now: NOON };
  const log: string[] = [];
  const config = readConfig({ LOG_LEVEL: 'warn', RATE_LIMIT: 'off', SMTP_URL: 'smtp://127.0.0.1:9', DATA_DIR: folder, ...set });
  const data = { db, sealer: new Sealer(KEY) };
  const logStream = { write: (line: string) => log.push(line) };
  const { app, services } = await buildApp({ config, data, views, now: () => clock.now, logStream, solver });
  await app.ready();
  const site = { app, db, services, views, config, clock, log };
  open.push(site);
  return site;
}

/** Closes what a test opened, and fails it where the log has something that it did not take out: tests/support/each.ts. */
export async function closeSites(): Promise<void> {
  for (const site of open.splice(0)) {
    await site.app.close();
    site.db.close();
    expect(site.log).toEqual([]);
  }
  for (const file of files.splice(0)) for (const part of [file, `${file}-wal`, `${file}-shm`]) rmSync(part, { force: true });
}
