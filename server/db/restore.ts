import { chmodSync, copyFileSync, existsSync, mkdirSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import Database from 'better-sqlite3';
import { type Config, ROOT } from '../config.js';
import { ERASED_LIST, eraseAgain } from '../privacy/tombstones.js';
import { type Contents, contents, damage } from './backup.js';
import { bringUp } from './bring-up.js';
import { belongToFolder, copyWhole, isThere, putInPlace } from './durable.js';
import { DATABASE, RESTORING, removeLogs, removeUnfinished } from './folder.js';
import { type KeysAtHand, marksHere, requireKeys } from './key-source.js';
import { KeyRefused, openKeyring, readKeyring, sealerOf } from './keyring.js';
import { holdFolder } from './lock.js';
import { readMigrations, schemaVersion } from './migrate.js';
import { connect, connectToRead, wrap } from './open.js';

export interface Restored extends Contents {
  /** Where the database is that was there before; null where there was none. */
  kept: string | null;
  /** How many were erased after the backup was made, and now again. */
  erasedAgain: number;
  /**
   * The list of those erased is not in the folder, so that whoever was erased after the backup was made is back. `perhaps`: nothing here
   * tells that anybody ever was.
   */
  listMissing: boolean | 'perhaps';
  /** Mail that had still to be sent when the backup was made: it goes again. */
  mailWaiting: number;
}

/**
 * Puts a backup in the place of the database. All is done to a copy in DATA_DIR under a passing name: checked, brought up to the
 * program's version, those erased since erased again, all sessions ended; then it takes the database's name in one step. Whenever it
 * is killed, the old database or the finished new one is there. Needs the service stopped.
 * @throws a sentence, and then nothing was changed
 */
export function restore(config: Config, given: string, now: number, log: (message: string) => void): Restored {
  const { dataDir } = config;
  const file = resolve(given);
  const keys = requireKeys(config, log);
  if (!isThere(file)) throw new Error(`${file} is not there.`);
  if (!statSync(file).isFile()) throw new Error(`${file} is not a file.`);
  if (file === join(dataDir, DATABASE)) throw new Error(`${file} is the database itself, not a backup of it.`);
  mkdirSync(dataDir, { recursive: true, mode: 0o700 });
  const release = holdFolder(dataDir);
  const making = join(dataDir, RESTORING);
  try {
    removeUnfinished(dataDir);
    // Asked now: what the backup itself knows of erasures is written to a new list.
    const hasList = isThere(join(dataDir, ERASED_LIST));
    takeIn(file, making);
    const ready = makeReady(file, making, { keys, dataDir, now, log });
    const kept = keepOld(dataDir, now);
    const listMissing = !hasList && isMissing(kept, making);
    // A log that belongs to the old database would be played into the new one.
    removeLogs(join(dataDir, DATABASE));
    putInPlace(making, join(dataDir, DATABASE));
    return { ...ready, kept, listMissing };
  } finally {
    removeUnfinished(dataDir);
    release();
  }
}

/** Copies the file, and its log where somebody copied a database by hand: what is checked is what is put in place. */
function takeIn(file: string, making: string): void {
  const parts = existsSync(`${file}-wal`) ? ['', '-wal'] : [''];
  for (const part of parts) {
    copyFileSync(file + part, making + part);
    chmodSync(making + part, 0o600);
    belongToFolder(making + part);
  }
}

interface Readying {
  keys: KeysAtHand;
  dataDir: string;
  now: number;
  log: (message: string) => void;
}

function makeReady(file: string, making: string, { keys, dataDir, now, log }: Readying): Omit<Restored, 'kept' | 'listMissing'> {
  const raw = openTaken(file, making);
  try {
    refuse(raw, file, readMigrations(join(ROOT, 'migrations')).length, keys);
    bringUp(raw, keys, log);
    const db = wrap(raw);
    const ring = openKeyring(db, keys);
    db.write(() => forgetSecretsGivenOut(raw, now));
    const erasedAgain = eraseAgain(db, sealerOf(ring), dataDir);
    const mailWaiting = raw.prepare<[], number>("SELECT count(*) FROM notices WHERE state = 'pending'").pluck().get() ?? 0;
    raw.pragma('wal_checkpoint(TRUNCATE)');
    return { ...contents(raw), erasedAgain, mailWaiting };
  } finally {
    raw.close();
  }
}

/**
 * Whoever signed out, or was locked out, after the backup was made must not come in by it again. And a sign-up's private link is made
 * from its number: one given out after the backup was made must not be given to somebody else now, so numbering goes on from the time
 * in milliseconds, which no number has reached.
 */
function forgetSecretsGivenOut(raw: Database.Database, now: number): void {
  raw.exec('DELETE FROM sessions; DELETE FROM sign_in_links;');
  const leap = raw.prepare("UPDATE sqlite_sequence SET seq = max(seq, ?) WHERE name = 'sign_ups'").run(now);
  if (leap.changes === 0) raw.prepare("INSERT INTO sqlite_sequence (name, seq) VALUES ('sign_ups', ?)").run(now);
}

function openTaken(file: string, making: string): Database.Database {
  try {
    return connect(making);
  } catch (error) {
    throw unreadable(file, error);
  }
}

/** @throws a sentence where the file is no Waymeet database, is damaged, newer than the program, or sealed with another key */
function refuse(raw: Database.Database, file: string, newest: number, keys: KeysAtHand): void {
  let fault: string | null;
  try {
    if (!isWaymeet(raw)) throw notWaymeet(file);
    fault = damage(raw);
  } catch (error) {
    throw unreadable(file, error);
  }
  if (fault) throw new Error(`${file} is damaged (${fault}). Take an older backup.`);
  const version = schemaVersion(raw);
  if (version > newest)
    throw new Error(`${file} was made by a newer Waymeet (version ${version}; this one knows up to ${newest}). Restore it with that one.`);
  try {
    readKeyring(raw, keys);
  } catch (error) {
    if (!(error instanceof KeyRefused)) throw error;
    const wanted = error.wanted.length > 0 ? `the one with the mark ${error.wanted.join(' or ')}; ` : '';
    const which = ` (${wanted}${marksHere(keys)})`;
    throw new Error(
      `${file} is sealed with another key${which}: put the seal.key that was in use when it was made into DATA_DIR, or add its line to the one there, as the last.`,
      { cause: error },
    );
  }
}

function isWaymeet(raw: Database.Database): boolean {
  const tables = raw.prepare("SELECT name FROM sqlite_schema WHERE type = 'table'").pluck().all() as string[];
  return schemaVersion(raw) > 0 && ['settings', 'walks', 'sign_ups', 'emergency_contacts'].every((name) => tables.includes(name));
}

function notWaymeet(file: string): Error {
  return new Error(`${file} is not a Waymeet database: give a file that npm run backup wrote.`);
}

/** The sentence for what SQLite could not read. */
function unreadable(file: string, error: unknown): Error {
  if (!(error instanceof Database.SqliteError)) return error instanceof Error ? error : new Error(String(error));
  if (error.code === 'SQLITE_NOTADB') return notWaymeet(file);
  return new Error(`${file} is damaged (${error.message}). Take an older backup.`, { cause: error });
}

/** Keeps the database that is in place under a name with the time; gives its path, or null where there was none. */
function keepOld(dataDir: string, now: number): string | null {
  const old = join(dataDir, DATABASE);
  if (!existsSync(old)) return null;
  settle(old);
  const kept = join(dataDir, `before-restore-${new Date(now).toISOString().replace(/[:.]/g, '-')}.db`);
  copyWhole(old, kept);
  if (existsSync(`${old}-wal`)) copyWhole(`${old}-wal`, `${kept}-wal`);
  return kept;
}

function isMissing(kept: string | null, making: string): boolean | 'perhaps' {
  if (kept !== null) return !neverErased(kept);
  return neverErased(making) ? 'perhaps' : true;
}

/** Whether the database that was in place tells that nobody was ever erased: then no list is missing. One too damaged does not tell. */
function neverErased(database: string): boolean {
  let raw: Database.Database | undefined;
  try {
    raw = connectToRead(database);
    const hasTable = raw.prepare("SELECT 1 FROM sqlite_schema WHERE name = 'erased'").get() !== undefined;
    return !hasTable || raw.prepare('SELECT 1 FROM erased LIMIT 1').get() === undefined;
  } catch (error) {
    if (!(error instanceof Database.SqliteError)) throw error;
    return false;
  } finally {
    raw?.close();
  }
}

/**
 * Brings what is still in the log into the database and closes the log, which works only where nobody else has it open. One too
 * damaged for it stays as it is. @throws a sentence while a backup is being made: its end would remove the new database's log
 */
function settle(database: string): void {
  let raw: Database.Database | undefined;
  try {
    raw = connect(database);
    raw.pragma('journal_mode = DELETE');
  } catch (error) {
    if (!(error instanceof Database.SqliteError)) throw error;
    if (error.code.startsWith('SQLITE_BUSY'))
      throw new Error('The database is in use, by a backup perhaps: wait until that has ended, and try again.', { cause: error });
  } finally {
    raw?.close();
  }
}
