import { existsSync, mkdirSync, readdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type Database from 'better-sqlite3';
import type { Config } from '../config.js';
import { bringUp } from './bring-up.js';
import { belongToFolder, putInPlace } from './durable.js';
import { KEY_FILE, type KeysAtHand, newKey, readKeys, requireKeys, writeKeys } from './key-source.js';
import { type Keyring, openKeyring, sealerOf } from './keyring.js';
import { holdFolder, LOCK } from './lock.js';
import { connect, connectToRead, type Db, wrap } from './open.js';
import { keyMark, type Sealer } from './seal.js';

export const DATABASE = 'waymeet.db';
/** The name of a backup that is being restored until it is ready. */
export const RESTORING = 'waymeet.db.restoring';
/** Old copies in DATA_DIR hold personal details, and are kept this long. */
export const OLD_COPIES_MS = 30 * 24 * 60 * 60 * 1000;

/** An opened DATA_DIR: held by this process alone until closed. */
export interface DataFolder {
  db: Db;
  sealer: Sealer;
  /** The folder itself, as a full path. */
  dataDir: string;
  close: () => void;
}

/**
 * Opens DATA_DIR, making what is missing on the first start: database, key, lock. Refuses, with a sentence that says what to do,
 * where another process holds it, where the key is missing or wrong, or where a database was here and is gone.
 */
export function openFolder(config: Config, log: (message: string) => void): DataFolder {
  const { dataDir } = config;
  mkdirSync(dataDir, { recursive: true, mode: 0o700 });
  const file = join(dataDir, DATABASE);
  const wasHere = existsSync(join(dataDir, LOCK)) || existsSync(join(dataDir, KEY_FILE));
  const release = holdFolder(dataDir);
  try {
    if (wasHere && !existsSync(file))
      throw new Error(
        `${dataDir} has been used before, but ${DATABASE} is gone. Put it back from a backup, or set DATA_DIR to an empty folder to start anew.`,
      );
    const given = existsSync(file) ? requireKeys(config, log) : (readKeys(config, log) ?? firstKey(dataDir));
    removeUnfinished(dataDir);
    const db = openDatabase(dataDir, given, log);
    try {
      const ring = openKeyring(db, given);
      sayKeys(ring, given, log);
      const close = () => {
        db.close();
        release();
      };
      return { db, sealer: sealerOf(ring), dataDir, close };
    } catch (error) {
      db.close();
      throw error;
    }
  } catch (error) {
    release();
    throw error;
  }
}

/** The database of a folder that this process holds, brought up to the program's version. */
export function openDatabase(dataDir: string, given: KeysAtHand, log: (message: string) => void): Db {
  const file = join(dataDir, DATABASE);
  const isNew = !existsSync(file);
  const raw = connect(file);
  try {
    if (isNew) belongToFolder(file);
    const steps = bringUp(raw, given, log, (from) => {
      const copy = join(dataDir, `before-migration-${from}.db`);
      copyDatabase(raw, copy);
      log(`The database as it was before migrating is in ${copy}; delete it when all is well, or it goes by itself after 30 days.`);
    });
    if (steps > 0) log(`Database brought up by ${steps} step${steps === 1 ? '' : 's'}.`);
    return wrap(raw);
  } catch (error) {
    raw.close();
    throw error;
  }
}

function firstKey(dataDir: string): KeysAtHand {
  const key = newKey();
  writeKeys(dataDir, [key]);
  return { keys: [key], from: KEY_FILE };
}

/** Refuses, or says in the log, what is left to do about the keys. */
function sayKeys(ring: Keyring, given: KeysAtHand, log: (message: string) => void): void {
  if (ring.coming && given.from === 'SEAL_KEY')
    throw new Error(
      'SEAL_KEY begins with a new key that this database does not know: run npm run keys:rotate first, with the same SEAL_KEY.',
    );
  const known = ring.list.keys.map(({ mark }) => mark);
  if (ring.coming || known.length > 1) log('A change of keys is not finished: stop the service and run npm run keys:rotate.');
  else if (given.keys.some((key) => !known.includes(keyMark(key))))
    log(`${given.from} has a key that nothing here is sealed with: take it out when no older backup needs it.`);
}

/** A checked copy, on the disk before it has its name; one that an earlier try left is replaced. */
export function copyDatabase(raw: Database.Database, file: string): void {
  const making = `${file}.making`;
  rmSync(making, { force: true });
  raw.prepare('VACUUM INTO ?').run(making);
  const copy = connectToRead(making);
  const state = copy.pragma('integrity_check', { simple: true });
  copy.close();
  if (state !== 'ok') throw new Error(`The copy made before migrating is damaged: ${String(state)}. Nothing was migrated.`);
  belongToFolder(making);
  putInPlace(making, file);
}

/** Deletes what a restoring that was broken off left: it holds personal details. */
export function removeUnfinished(dataDir: string): void {
  const unfinished = join(dataDir, RESTORING);
  rmSync(unfinished, { force: true });
  removeLogs(unfinished);
}

export function removeLogs(database: string): void {
  for (const part of ['-wal', '-shm', '-journal']) rmSync(database + part, { force: true });
}

/** Deletes the copies that migrating and restoring left in DATA_DIR more than 30 days ago; gives how many files went. */
export function forgetOldCopies(dataDir: string, now: number): number {
  const old = readdirSync(dataDir).filter(
    (name) =>
      /^before-(migration|restore)-.*\.db(-wal|-shm|\.making)?$/.test(name) && now - statSync(join(dataDir, name)).mtimeMs > OLD_COPIES_MS,
  );
  for (const name of old) rmSync(join(dataDir, name), { force: true });
  return old.length;
}
