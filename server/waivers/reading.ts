import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { type Config, ROOT } from '../config.js';
import { isThere } from '../db/durable.js';
import { DATABASE } from '../db/folder.js';
import { requireKeys } from '../db/key-source.js';
import { readKeyring, sealerOf } from '../db/keyring.js';
import { readMigrations, schemaVersion } from '../db/migrate.js';
import { connectToRead } from '../db/open.js';
import type { Sealer } from '../db/seal.js';

/**
 * Opens the database of DATA_DIR to read it, beside a service that runs or not: takes no lock, migrates and writes nothing.
 * @throws a sentence where there is none, where the key does not fit, or where it is of another version
 */
export function openToVerify(config: Config, log: (message: string) => void): { raw: Database.Database; sealer: Sealer } {
  const file = join(config.dataDir, DATABASE);
  if (!isThere(file)) throw new Error(`There is no ${DATABASE} in ${config.dataDir}. Set DATA_DIR to the folder that the service uses.`);
  const raw = connectToRead(file);
  try {
    const [version, newest] = [schemaVersion(raw), readMigrations(join(ROOT, 'migrations')).length];
    if (version < newest)
      throw new Error(
        `This database is at version ${version}, older than this program's ${newest}. Start the service once: it brings it up.`,
      );
    if (version > newest)
      throw new Error(`This database is at version ${version}, newer than this program's ${newest}. Use the newer program.`);
    return { raw, sealer: sealerOf(readKeyring(raw, requireKeys(config, log))) };
  } catch (error) {
    raw.close();
    throw error;
  }
}
