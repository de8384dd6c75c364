import { closeSync, existsSync, openSync, realpathSync, rmSync, statSync } from 'node:fs';
import { dirname, join, resolve, sep } from 'node:path';
import Database from 'better-sqlite3';
import type { Config } from '../config.js';
import { type ChainEnd, chainEnd } from '../waivers/verify.js';
import { CHAIN_STEP } from './bring-up.js';
import { isThere, putInPlace } from './durable.js';
import { DATABASE } from './folder.js';
import { KEY_FILE, type KeysAtHand, requireKeys } from './key-source.js';
import { readKeyring } from './keyring.js';
import { schemaVersion } from './migrate.js';
import { connect, connectToRead } from './open.js';

/** What a database file holds, for the operator to see that it is the right one. */
export interface Contents {
  version: number;
  walks: number;
  signUps: number;
}

export interface BackedUp extends Contents {
  /** The backup, as a full path. */
  file: string;
  bytes: number;
  /** The marks of the keys that open it: while a change of keys is unfinished, more than one. */
  marks: string[];
  /** Where the chain of signatures ends in it, verified or not; null where it is older than the chain. */
  signatures: ChainEnd | null;
}

/**
 * Writes a checked copy of the database while the service runs: it neither takes the folder's lock nor migrates. The copy gets its
 * name when it is complete, opens with the key at hand, and is on the disk. @throws a sentence, and then there is no such file
 */
export function backUp(config: Config, given: string, log: (message: string) => void): BackedUp {
  const database = join(config.dataDir, DATABASE);
  if (!isThere(database))
    throw new Error(`There is no Waymeet database in ${config.dataDir}: set DATA_DIR to the folder that the service uses.`);
  const file = placeFor(given, config.dataDir);
  const keys = requireKeys(config, log);
  const making = `${file}.making`;
  take(making);
  try {
    copyInto(database, making);
    const seen = check(making, keys);
    const { size: bytes } = statSync(making);
    refuseExisting(file);
    putInPlace(making, file);
    return { file, bytes, ...seen };
  } finally {
    rmSync(making, { force: true });
  }
}

/** The full path of a backup to be. @throws a sentence where one can't be made there */
function placeFor(given: string, dataDir: string): string {
  const wanted = resolve(given);
  if (!isThere(dirname(wanted))) throw new Error(`The folder ${dirname(wanted)} is not there: make it first.`);
  const folder = realpathSync(dirname(wanted));
  const home = realpathSync(dataDir);
  if (folder === home || folder.startsWith(home + sep))
    throw new Error(
      `${wanted} lies in ${dataDir}: the key and a backup do not lie together, or who takes one has both. Choose another folder.`,
    );
  if (existsSync(join(folder, KEY_FILE)))
    throw new Error(`${folder} holds a ${KEY_FILE}: the key and a backup do not lie together. Move the key, or choose another folder.`);
  refuseExisting(wanted);
  return wanted;
}

function refuseExisting(file: string): void {
  if (existsSync(file)) throw new Error(`${file} is there already, and is not overwritten: choose another name.`);
}

/** Makes the unfinished file, for its owner alone to read from the first byte on, and for one backup at a time. */
function take(making: string): void {
  if (existsSync(making))
    throw new Error(`${making} is there: a backup is being written, or was broken off. Delete it if none is running, and try again.`);
  closeSync(openSync(making, 'wx', 0o600));
}

function copyInto(database: string, making: string): void {
  const raw = connect(database);
  try {
    raw.prepare('VACUUM INTO ?').run(making);
  } catch (error) {
    if (!(error instanceof Database.SqliteError) || error.code !== 'SQLITE_FULL') throw error;
    throw new Error(`The disk of ${dirname(making)} is full: make room there, or choose another folder.`, { cause: error });
  } finally {
    raw.close();
  }
}

function check(making: string, keys: KeysAtHand): Omit<BackedUp, 'file' | 'bytes'> {
  const copy = connectToRead(making);
  try {
    const fault = damage(copy);
    if (fault)
      throw new Error(
        `The copy is damaged (${fault}), and so may be the database: look at the disk, keep your older backups, and restore the newest of them.`,
      );
    const marks = readKeyring(copy, keys).list.keys.map((known) => known.mark);
    const seen = contents(copy);
    return { ...seen, marks, signatures: seen.version < CHAIN_STEP ? null : chainEnd(copy) };
  } finally {
    copy.close();
  }
}

/** What is wrong with a database file; null where it is whole. */
export function damage(raw: Database.Database): string | null {
  const state = raw.pragma('integrity_check', { simple: true });
  if (state !== 'ok') return String(state);
  const [broken] = raw.pragma('foreign_key_check') as { table: string }[];
  return broken ? `rows of ${broken.table} point at nothing` : null;
}

export function contents(raw: Database.Database): Contents {
  const count = (table: string) => raw.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get() ?? 0;
  return { version: schemaVersion(raw), walks: count('walks'), signUps: count('sign_ups') };
}
