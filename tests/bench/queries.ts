import { join } from 'node:path';
import Database from 'better-sqlite3';
import { buildApp } from '../../server/app.js';
import { readConfig } from '../../server/config.js';
import { openFolder } from '../../server/db/folder.js';
import { wrap } from '../../server/db/open.js';
import type { RegionFolder } from './region-folder.js';

/** Statements each page runs, counted on the region's own database. */
export async function queriesPerPage(region: RegionFolder, paths: string[]): Promise<Record<string, number>> {
  const config = readConfig({ DATA_DIR: region.dataDir, LOG_LEVEL: 'error', RATE_LIMIT: 'off' });
  const { sealer, close } = openFolder(config, () => {});
  close();
  let statements = 0;
  const raw = new Database(join(region.dataDir, 'waymeet.db'), { verbose: () => (statements += 1) });
  const { app } = await buildApp({ config, data: { db: wrap(raw), sealer } });
  const counted: Record<string, number> = {};
  for (const path of paths) {
    await app.inject({ url: path, headers: { cookie: region.cookie } });
    statements = 0;
    const answer = await app.inject({ url: path, headers: { cookie: region.cookie } });
    if (answer.statusCode !== 200) throw new Error(`${path}: ${answer.statusCode}`);
    counted[path] = statements;
  }
  await app.close();
  raw.close();
  return counted;
}
