import Database from 'better-sqlite3';
import { type BetterSQLite3Database, drizzle } from 'drizzle-orm/better-sqlite3';
import * as schema from './schema/index.js';

/** One connection, with every pragma it needs. FULL is set explicitly: better-sqlite3 would drop to NORMAL after the first WAL write. */
export function connect(file: string): Database.Database {
  const raw = new Database(file);
  raw.pragma('journal_mode = WAL');
  raw.pragma('synchronous = FULL');
  raw.pragma('foreign_keys = ON');
  raw.pragma('busy_timeout = 5000');
  raw.pragma('secure_delete = ON');
  raw.pragma('trusted_schema = OFF');
  // In KiB: better-sqlite3 would keep 16 MB of pages; the hot ones fit in four.
  raw.pragma('cache_size = -4096');
  return raw;
}

/** What a store function needs: the database itself, or the transaction it runs in. */
export type Tx = BetterSQLite3Database<typeof schema>;

/** The database as the features see it: `q` to read, `write` to change. */
export interface Db {
  raw: Database.Database;
  q: Tx;
  /** Grows with every write transaction: kept answers compare it to know that they are stale. */
  writes: () => number;
  /** Runs `work` in one IMMEDIATE transaction (DEFERRED would fail a read-then-write with BUSY_SNAPSHOT). The only way to write. */
  write: <T>(work: (tx: Tx) => T) => T;
  close: () => void;
}

export function wrap(raw: Database.Database): Db {
  const q = drizzle(preparingOnce(raw), { schema });
  let writes = 0;
  return {
    raw,
    q,
    writes: () => writes,
    write: (work) => {
      const result = raw.transaction(() => work(q)).immediate();
      writes += 1;
      return result;
    },
    close: () => {
      raw.close();
    },
  };
}

/**
 * A query built once for each database and run with new values each time, for those that every sign-up runs: drizzle takes longer to
 * build one than SQLite to answer it. Values go in by name (`sql.placeholder('id')`).
 */
export function prepared<Q extends object>(build: (q: Tx) => Q): (q: Tx) => Q {
  const built = new WeakMap<Tx, Q>();
  return (q) => {
    const known = built.get(q) ?? build(q);
    built.set(q, known);
    return known;
  };
}

const MOST_STATEMENTS = 1000;

/**
 * The same connection for drizzle, which prepares every statement anew each time it runs one: here a statement is prepared once and
 * found by its text. Safe because drizzle reads each to its end before it lets go, and reads one text always in one mode.
 */
function preparingOnce(raw: Database.Database): Database.Database {
  const prepared = new Map<string, Database.Statement>();
  const client = Object.create(raw) as Database.Database;
  client.prepare = ((text: string) => {
    const known = prepared.get(text);
    if (known) return known;
    if (prepared.size >= MOST_STATEMENTS) prepared.clear();
    const statement = raw.prepare(text);
    prepared.set(text, statement);
    return statement;
  }) as Database.Database['prepare'];
  return client;
}
