import { closeSync, existsSync, fsyncSync, openSync, readFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { sql } from 'drizzle-orm';
import { belongToFolder, isThere, sync } from '../db/durable.js';
import type { Db, Tx } from '../db/open.js';
import { erased } from '../db/schema/index.js';
import type { Sealer } from '../db/seal.js';
import { eraseAddress, markErased } from './erase.js';
import { addressMark, erasureProof } from './marks.js';

export const ERASED_LIST = 'erased.list';

/** One erasure: the keyed digest of an address, and when, ms. */
export interface Tombstone {
  mark: string;
  at: number;
}

/**
 * Writes erasures beside the database, on the disk before this returns: a backup that is put back knows nothing of what was erased
 * after it was made. Not secret: without the key a mark names nobody, and a line can't be made up.
 */
export function layTombstones(dataDir: string, sealer: Sealer, tombstones: Tombstone[]): void {
  if (tombstones.length === 0) return;
  const file = join(dataDir, ERASED_LIST);
  const isNew = !isThere(file);
  const isTorn = !isNew && !/(^|\n)$/.test(readFileSync(file, 'utf8'));
  const lines = tombstones.map(({ mark, at }) => `${mark} ${new Date(at).toISOString()} ${erasureProof(sealer, mark, at)}\n`);
  const handle = openSync(file, 'a', 0o600);
  try {
    if (isNew) belongToFolder(file);
    // What a crash cut short keeps its line to itself.
    writeSync(handle, `${isTorn ? '\n' : ''}${lines.join('')}`);
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  if (isNew) sync(dataDir);
}

/** What stands in the file: the latest erasure of each mark. Lines that are none, or were not written with this key, are passed over. */
export function readTombstones(dataDir: string, sealer: Sealer): Map<string, number> {
  const file = join(dataDir, ERASED_LIST);
  const known = new Map<string, number>();
  if (!existsSync(file)) return known;
  for (const line of readFileSync(file, 'utf8').split('\n')) {
    const [, mark = '', time = '', proof = ''] = /^([\w-]{43}) (\S+) ([\w-]{43})$/.exec(line) ?? [];
    const at = Date.parse(time);
    if (mark !== '' && !Number.isNaN(at) && proof === erasureProof(sealer, mark, at)) known.set(mark, Math.max(at, known.get(mark) ?? 0));
  }
  return known;
}

/**
 * Erases again whoever was erased after the database that is here was copied: the file knows of an erasure that the table does not, or
 * knows of a later one. What the table alone knows is written to the file. Gives how many addresses were erased.
 */
export function eraseAgain(db: Db, sealer: Sealer, dataDir: string): number {
  const inFile = readTombstones(dataDir, sealer);
  const inTable = new Map(
    db.q
      .select()
      .from(erased)
      .all()
      .filter((row) => row.proof === erasureProof(sealer, row.mark, row.at))
      .map((row) => [row.mark, row.at]),
  );
  const newer = (from: Map<string, number>, than: Map<string, number>) =>
    [...from].map(([mark, at]) => ({ mark, at })).filter(({ mark, at }) => at > (than.get(mark) ?? Number.NEGATIVE_INFINITY));
  layTombstones(dataDir, sealer, newer(inTable, inFile));
  const owed = newer(inFile, inTable);
  if (owed.length === 0) return 0;
  const holders = new Map(addressesIn(db.q).map((email) => [addressMark(sealer, email), email]));
  const again = owed.filter(({ mark }) => holders.has(mark));
  db.write((tx) => {
    for (const { mark, at } of owed) {
      const email = holders.get(mark);
      if (email !== undefined) eraseAddress(tx, { sealer }, email, at);
      else markErased(tx, sealer, mark, at);
    }
  });
  emptyWal(db);
  return again.length;
}

/** Every address that stands anywhere. */
function addressesIn(q: Tx): string[] {
  const rows = q.all<{ email: string }>(sql`
    SELECT email FROM people UNION SELECT email FROM sign_ups UNION SELECT email FROM party_members WHERE email IS NOT NULL
    UNION SELECT email FROM waivers UNION SELECT email FROM turned_up UNION SELECT email FROM sign_in_links UNION SELECT to_email FROM notices`);
  return rows.map((row) => row.email);
}

/** Brings the write-ahead log into the database file and empties it: what was removed is then in neither. */
export function emptyWal(db: Db): void {
  db.raw.pragma('wal_checkpoint(TRUNCATE)');
}
