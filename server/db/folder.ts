import { randomBytes } from 'node:crypto';
import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { type Config, ROOT } from '../config.js';
import { migrate, readMigrations } from './migrate.js';
import { connect, type Db, wrap } from './open.js';
import { Sealer } from './seal.js';

const DATABASE = 'waymeet.db';
const KEY = 'seal.key';
const LOCK = 'waymeet.lock';

/** An opened DATA_DIR: held by this process alone until closed. */
export interface DataFolder {
  db: Db;
  sealer: Sealer;
  close: () => void;
}

/**
 * Opens DATA_DIR, making what is missing on the first start: database, key, lock. Refuses, with a sentence that says what to do,
 * where another process holds it, where the key is missing or wrong, or where a database was here and is gone.
 */
export function openFolder(config: Config, log: (message: string) => void): DataFolder {
  mkdirSync(config.dataDir, { recursive: true, mode: 0o700 });
  const file = join(config.dataDir, DATABASE);
  const wasHere = existsSync(join(config.dataDir, LOCK)) || existsSync(join(config.dataDir, KEY));
  const release = lock(config.dataDir);
  try {
    if (wasHere && !existsSync(file))
      throw new Error(
        `${config.dataDir} has been used before, but ${DATABASE} is gone. Put it back from a backup, or set DATA_DIR to an empty folder to start anew.`,
      );
    const sealer = new Sealer(readKey(config, existsSync(file)));
    const raw = connect(file);
    const steps = migrate(raw, readMigrations(join(ROOT, 'migrations')), (from) => {
      const copy = join(config.dataDir, `before-migration-${from}.db`);
      copyDatabase(raw, copy);
      log(`The database as it was before migrating is in ${copy}; delete it when all is well.`);
    });
    if (steps > 0) log(`Database brought up by ${steps} step${steps === 1 ? '' : 's'}.`);
    const db = wrap(raw);
    probeKey(db, sealer);
    const close = () => {
      db.close();
      release();
    };
    return { db, sealer, close };
  } catch (error) {
    release();
    throw error;
  }
}

/** Holds DATA_DIR for this process: the operating system lets go when it dies, however it dies. */
function lock(folder: string): () => void {
  const held = new Database(join(folder, LOCK), { timeout: 1000 });
  try {
    held.pragma('journal_mode = DELETE');
    held.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    held.close();
    throw new Error(`Another Waymeet is running on ${folder}. Stop it first, or set another DATA_DIR.`, { cause: error });
  }
  return () => {
    held.close();
  };
}

function readKey(config: Config, databaseExists: boolean): Buffer {
  if (config.sealKey) return Buffer.from(config.sealKey, 'hex');
  const file = join(config.dataDir, KEY);
  if (existsSync(file)) return Buffer.from(readFileSync(file, 'utf8').trim(), 'hex');
  if (databaseExists)
    throw new Error(
      `The key that opens the emergency details is missing: put ${KEY} back into ${config.dataDir}, or set SEAL_KEY to the key that was used.`,
    );
  const key = randomBytes(32);
  writeFileSync(file, `${key.toString('hex')}\n`, { mode: 0o600 });
  return key;
}

/** A checked copy, on the disk before it has its name; one that an earlier try left is replaced. */
export function copyDatabase(raw: Database.Database, file: string): void {
  const making = `${file}.making`;
  rmSync(making, { force: true });
  raw.prepare('VACUUM INTO ?').run(making);
  const copy = new Database(making);
  const state = copy.pragma('integrity_check', { simple: true });
  copy.close();
  if (state !== 'ok') throw new Error(`The copy made before migrating is damaged: ${String(state)}. Nothing was migrated.`);
  const handle = openSync(making, 'r+');
  fsyncSync(handle);
  closeSync(handle);
  renameSync(making, file);
}

const PROBE = { table: 'settings', column: 'value', row: 0 };

/** A sealed word laid down at the first start: a wrong key shows now, not when someone is hurt. */
function probeKey(db: Db, sealer: Sealer): void {
  const row = db.raw.prepare("SELECT value FROM settings WHERE key = 'sealProbe'").get() as { value: string } | undefined;
  if (!row) {
    const value = JSON.stringify(sealer.seal(PROBE, 'waymeet').toString('base64'));
    db.write(() => db.raw.prepare("INSERT INTO settings (key, value) VALUES ('sealProbe', ?)").run(value));
    return;
  }
  try {
    sealer.open(PROBE, Buffer.from(JSON.parse(row.value) as string, 'base64'));
  } catch (error) {
    throw new Error(`This key does not open this database. Put the right ${KEY} back, or set SEAL_KEY to the key that was used.`, {
      cause: error,
    });
  }
}
