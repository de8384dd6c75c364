import type Database from 'better-sqlite3';
import { z } from 'zod';
import { type KeysAtHand, marksHere } from './key-source.js';
import type { Db } from './open.js';
import { derivationOf, keyMark, SealBroken, Sealer, type SealKey } from './seal.js';

const keyList = z.object({
  /** The keys that values may be sealed with, the one that seals first. */
  keys: z.array(z.object({ id: z.int().min(1).max(255), mark: z.string() })).min(1),
  /** Marks of keys that nothing is sealed with any more. */
  retired: z.array(z.string()),
});

/** What a database says about its keys, never the keys themselves. */
export type KeyList = z.infer<typeof keyList>;

/** How the keys at hand fit a database. */
export interface Keyring {
  list: KeyList;
  /** The keys of the list, in its order. */
  keys: SealKey[];
  /** What private links and all other secrets are derived from: the same whichever key is in use. */
  derivation: Buffer;
  /** The first key at hand, where the database does not know it: a change of keys has still to be made, or was broken off early. */
  coming: Buffer | null;
  /** Whether the list and the derivation are in the database already. */
  isLaidDown: boolean;
}

/** The keys at hand do not fit a database: a sentence, and the marks of the keys that it wants. */
export class KeyRefused extends Error {
  constructor(
    message: string,
    readonly wanted: readonly string[],
  ) {
    super(message);
  }
}

const PROBE = { table: 'settings', column: 'value', row: 0 };
const DERIVATION = { table: 'settings', column: 'value', row: 1 };

/** Fits the keys at hand to a database, changing nothing. @throws a sentence where one that is needed is missing or wrong */
export function readKeyring(raw: Database.Database, given: KeysAtHand): Keyring {
  const stored = setting(raw, 'sealKeys');
  if (stored === undefined) return firstKeyring(raw, given);
  const list = keyList.parse(stored);
  const keys = list.keys.flatMap(({ id, mark }) => {
    const key = given.keys.find((one) => keyMark(one) === mark);
    return key ? [{ id, key }] : [];
  });
  if (keys.length === 0)
    throw wrongKey(
      list.keys.map((known) => known.mark),
      given,
    );
  const missing = list.keys.find((known) => !keys.some(({ id }) => id === known.id));
  if (missing) throw missingKey(missing.mark, given);
  const [first] = given.keys;
  const isNew = first !== undefined && !marks(list).includes(keyMark(first));
  return { list, keys, derivation: readDerivation(raw, keys), coming: isNew ? first : null, isLaidDown: true };
}

/** For a database that has no list yet: it knows one key, number 1, by a word sealed with it, or nothing is sealed in it. */
function firstKeyring(raw: Database.Database, given: KeysAtHand): Keyring {
  const probe = setting(raw, 'sealProbe');
  const key = given.keys.find((one) => probe === undefined || opens(one, probe));
  if (!key) throw wrongKey([], given);
  const [first] = given.keys;
  return {
    list: { keys: [{ id: 1, mark: keyMark(key) }], retired: [] },
    keys: [{ id: 1, key }],
    derivation: derivationOf(key),
    coming: first && !first.equals(key) ? first : null,
    isLaidDown: false,
  };
}

function opens(key: Buffer, probe: unknown): boolean {
  try {
    new Sealer(key).open(PROBE, Buffer.from(String(probe), 'base64'));
    return true;
  } catch (error) {
    if (!(error instanceof SealBroken)) throw error;
    return false;
  }
}

function wrongKey(wanted: string[], given: KeysAtHand): KeyRefused {
  const which = wanted.length > 0 ? `, which wants the one with the mark ${wanted.join(' or ')}` : '';
  return new KeyRefused(
    `This key does not open this database${which}; ${marksHere(given)}. Put the right seal.key back, or set SEAL_KEY to the key that was used.`,
    wanted,
  );
}

function missingKey(mark: string, given: KeysAtHand): KeyRefused {
  const where = given.from === 'SEAL_KEY' ? 'SEAL_KEY, after a comma' : given.from;
  return new KeyRefused(
    `The key with the mark ${mark} is missing (${marksHere(given)}), and some emergency details still open only with it: add it to ${where}.`,
    [mark],
  );
}

function readDerivation(raw: Database.Database, keys: SealKey[]): Buffer {
  try {
    const sealed = Buffer.from(String(setting(raw, 'sealDerivation')), 'base64');
    return Buffer.from(String(new Sealer(keys).open(DERIVATION, sealed)), 'base64');
  } catch (error) {
    throw new Error('What private links are made from does not open: the database was changed from outside. Restore a backup.', {
      cause: error,
    });
  }
}

/** Every mark that a database knows, in use or retired. */
export function marks(list: KeyList): string[] {
  return [...list.keys.map((known) => known.mark), ...list.retired];
}

export function sealerOf(ring: Pick<Keyring, 'keys' | 'derivation'>): Sealer {
  return new Sealer(ring.keys, ring.derivation);
}

/** Writes which keys there are, and the derivation under the first of them, in the transaction that it is called in. */
export function keepKeyring(db: Db, ring: Pick<Keyring, 'list' | 'keys' | 'derivation'>): void {
  const put = db.raw.prepare('INSERT INTO settings (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value');
  const derivation = sealerOf(ring).seal(DERIVATION, ring.derivation.toString('base64'));
  put.run('sealKeys', JSON.stringify(ring.list));
  put.run('sealDerivation', JSON.stringify(derivation.toString('base64')));
  // The word that older versions knew their key by: the derivation tells the same.
  db.raw.prepare("DELETE FROM settings WHERE key = 'sealProbe'").run();
}

/** The keyring of a database that may be written to: laid down where it has none yet. */
export function openKeyring(db: Db, given: KeysAtHand): Keyring {
  const ring = readKeyring(db.raw, given);
  if (ring.isLaidDown) return ring;
  db.write(() => keepKeyring(db, ring));
  return { ...ring, isLaidDown: true };
}

function setting(raw: Database.Database, key: string): unknown {
  const value = raw.prepare<[string], string>('SELECT value FROM settings WHERE key = ?').pluck().get(key);
  return value === undefined ? undefined : (JSON.parse(value) as unknown);
}
