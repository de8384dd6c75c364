import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { layDemo } from '../../seed/demo.js';
import { DEMO_PEOPLE, type DemoPerson, layLinks } from '../../seed/links.js';
import { type Config, readConfig } from '../config.js';
import type { DataFolder } from '../db/folder.js';
import { serve } from '../serve.js';
import { settingsReader } from '../settings/store.js';
import { sentenceOf } from './sentence.js';

/** A folder for this run alone, gone when the process ends, however it is told to. */
function passingFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'waymeet-demo-'));
  process.once('exit', () => {
    rmSync(folder, { recursive: true, force: true });
  });
  process.once('SIGHUP', () => {
    process.kill(process.pid, 'SIGTERM');
  });
  return folder;
}

/** The demo region where nothing has been laid yet; where it has been, only new links. A real group is left alone. */
function lay({ db, sealer }: DataFolder, config: Config): DemoPerson[] {
  const now = Date.now();
  const { groupName } = settingsReader(db)();
  if (groupName === '') return layDemo(db, sealer, now, config.baseUrl).people;
  const isDemo = db.raw.prepare('SELECT 1 FROM people WHERE email = ?').get(DEMO_PEOPLE[0].email) !== undefined;
  if (!isDemo) throw new Error(`${config.dataDir} holds a group of your own, ${groupName}: use npm start, or another DATA_DIR.`);
  return layLinks(db, sealer, now, config.baseUrl);
}

function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

async function demo(): Promise<void> {
  const kept = process.env.DATA_DIR;
  // Someone trying Waymeet out reads the links below, not a log.
  const config = readConfig({ LOG_LEVEL: 'warn', ...process.env, DATA_DIR: kept || passingFolder() });
  let people: DemoPerson[] = [];
  await serve(config, (data) => {
    people = lay(data, config);
  });
  say(`Waymeet is at ${config.baseUrl}`);
  say('Sign in as (each link works once, for a day):');
  for (const { name, role, link } of people) say(`  ${name}, ${role}: ${link}`);
  if (config.smtpUrl === undefined) say(`Mail stays in the database: the coordinator reads it at ${config.baseUrl}/coordinate/mail`);
  say(kept ? `All of it is kept in ${config.dataDir}; npm start goes on with it.` : 'All of it is gone when you stop it with Ctrl+C.');
}

try {
  await demo();
} catch (error) {
  process.stderr.write(`The demo does not start. ${sentenceOf(error, process.env.DATA_DIR)}\n`);
  process.exit(1);
}
