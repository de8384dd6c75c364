import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { announceLinks } from '../../seed/announce.js';
import { layDemo } from '../../seed/demo.js';
import { type DemoPerson, layLinks } from '../../seed/links.js';
import { readConfig } from '../config.js';
import type { DataFolder } from '../db/folder.js';
import { serve } from '../serve.js';
import { isInstalled, settingsReader } from '../settings/store.js';

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

/** The demo region where nothing has been laid yet; where a group is already, only new links. */
function lay({ db, sealer }: DataFolder, baseUrl: string): DemoPerson[] {
  const now = Date.now();
  return isInstalled(settingsReader(db)()) ? layLinks(db, sealer, now, baseUrl) : layDemo(db, sealer, now, baseUrl).people;
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
    people = lay(data, config.baseUrl);
    announceLinks(data, config.baseUrl, say);
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
  process.stderr.write(`The demo does not start. ${error instanceof Error ? error.message : String(error)}\n`);
  process.exit(1);
}
