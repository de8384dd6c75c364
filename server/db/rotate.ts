import { join } from 'node:path';
import type { Config } from '../config.js';
import { isThere } from './durable.js';
import { DATABASE, openDatabase } from './folder.js';
import { KEY_FILE, type KeysAtHand, newKey, requireKeys, writeKeys } from './key-source.js';
import { type Keyring, keepKeyring, openKeyring, sealerOf } from './keyring.js';
import { holdFolder } from './lock.js';
import type { Db } from './open.js';
import { keyMark, SealBroken, type Sealer } from './seal.js';
import { SEALED, type SealedColumn } from './sealed-columns.js';

/** Values sealed again in one transaction. */
const BATCH = 300;

export interface Rotated {
  /** The mark of the key that seals now. */
  mark: string;
  /** How many values were sealed again by this run. */
  resealed: number;
  /** Where a value does not open, as `table row`: its key is kept. */
  broken: string[];
  /** Marks of the keys that this run retired; empty where broken values hold them. */
  retired: string[];
  from: KeysAtHand['from'];
}

/**
 * Seals everything again with a new key, and retires the old one when no value uses it. Whenever it is killed, the service starts on
 * what it left, and the next run goes on from there. Secrets derived from the old key stay the same. Needs the service stopped.
 * @param reached told of each step as soon as it is on the disk
 * @throws a sentence where it can't begin
 */
export function rotateKeys(config: Config, log: (message: string) => void, reached: (step: string) => void = () => {}): Rotated {
  const { dataDir } = config;
  if (!isThere(join(dataDir, DATABASE)))
    throw new Error(`There is no Waymeet database in ${dataDir}: set DATA_DIR to the folder that the service uses.`);
  const release = holdFolder(dataDir);
  try {
    const given = requireKeys(config, log);
    const db = openDatabase(dataDir, given, log);
    try {
      return change(db, dataDir, given, reached);
    } finally {
      db.raw.pragma('wal_checkpoint(TRUNCATE)');
      db.close();
    }
  } finally {
    release();
  }
}

function change(db: Db, dataDir: string, given: KeysAtHand, reached: (step: string) => void): Rotated {
  const found = openKeyring(db, given);
  const atHand = { ...given };
  const coming = keyToBegin(found, atHand);
  if (coming && atHand.from === KEY_FILE && !atHand.keys.includes(coming)) {
    // In the file before anything is sealed with it: a key that is lost takes everything with it.
    atHand.keys = [coming, ...atHand.keys];
    writeKeys(dataDir, atHand.keys);
    reached('the new key is in the file');
  }
  const ring = coming ? begin(db, found, coming) : found;
  if (coming) reached('the database knows the new key');

  const { resealed, broken } = resealAll(db, sealerOf(ring), reached);
  const [newest, ...older] = ring.list.keys;
  const mark = newest?.mark ?? '';
  if (broken.length > 0) return { mark, resealed, broken, retired: [], from: given.from };

  const retired = older.map((known) => known.mark);
  const list = { keys: ring.list.keys.slice(0, 1), retired: [...retired, ...ring.list.retired] };
  if (retired.length > 0) db.write(() => keepKeyring(db, { ...ring, list }));
  reached('the database has retired the old key');
  dropRetired(dataDir, atHand, list.retired);
  return { mark, resealed, broken, retired, from: given.from };
}

/** The key that a new change begins with; null where an earlier one has to be finished first. @throws where there is nothing to begin with */
function keyToBegin(ring: Keyring, given: KeysAtHand): Buffer | null {
  if (ring.coming) return ring.coming;
  if (ring.list.keys.length > 1) return null;
  const isDone = given.keys.some((key) => ring.list.retired.includes(keyMark(key)));
  if (given.from === KEY_FILE) return isDone ? null : newKey();
  if (isDone) return null;
  throw new Error(
    'Set SEAL_KEY to the new key, a comma, and the key in use, in this order, and run it again. To make a key: openssl rand -hex 32',
  );
}

/** From here on the new key seals; the old ones still open what they sealed. */
function begin(db: Db, ring: Keyring, key: Buffer): Keyring {
  const used = ring.list.keys.map((known) => known.id);
  let id = ((used[0] ?? 0) % 255) + 1;
  while (used.includes(id)) id = (id % 255) + 1;
  const next = {
    ...ring,
    list: { ...ring.list, keys: [{ id, mark: keyMark(key) }, ...ring.list.keys] },
    keys: [{ id, key }, ...ring.keys],
    coming: null,
  };
  db.write(() => keepKeyring(db, next));
  return next;
}

function resealAll(db: Db, sealer: Sealer, reached: (step: string) => void): { resealed: number; broken: string[] } {
  let resealed = 0;
  const broken: string[] = [];
  for (const column of SEALED) {
    let after: number | undefined = Number.MIN_SAFE_INTEGER;
    while (after !== undefined) {
      const batch = resealBatch(db, column, sealer, after);
      resealed += batch.resealed;
      broken.push(...batch.broken);
      after = batch.last;
      reached(`${resealed} values are sealed again`);
    }
  }
  return { resealed, broken };
}

/** One transaction of {@link BATCH} rows after `after`; `last` is undefined when there are no more. Values under the new key are opened, too. */
function resealBatch(db: Db, { table, column, row }: SealedColumn, sealer: Sealer, after: number) {
  const some = db.raw.prepare<[number], { row: number; sealed: Buffer }>(
    `SELECT ${row} AS row, ${column} AS sealed FROM ${table} WHERE ${row} > ? ORDER BY ${row} LIMIT ${BATCH}`,
  );
  const put = db.raw.prepare(`UPDATE ${table} SET ${column} = ? WHERE ${row} = ?`);
  return db.write(() => {
    let resealed = 0;
    const broken: string[] = [];
    const rows = some.all(after);
    for (const { row: number, sealed } of rows) {
      try {
        const again = sealer.reseal({ table, column, row: number }, sealed);
        if (again) resealed += put.run(again, number).changes;
      } catch (error) {
        if (!(error instanceof SealBroken)) throw error;
        broken.push(`${table} ${number}`);
      }
    }
    return { resealed, broken, last: rows.at(-1)?.row };
  });
}

/** Takes the keys that the database has retired out of the file. Lines that it knows nothing of stay: an older backup may need them. */
function dropRetired(dataDir: string, given: KeysAtHand, retired: string[]): void {
  const kept = given.keys.filter((key) => !retired.includes(keyMark(key)));
  if (given.from === KEY_FILE && kept.length < given.keys.length) writeKeys(dataDir, kept);
}
