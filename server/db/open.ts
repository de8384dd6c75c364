import Database from 'better-sqlite3';
import { type BetterSQLite3Database, drizzle } from 'drizzle-orm/better-sqlite3';
import * as schema from './schema/index.js';

const SAFE = ['synchronous = FULL', 'foreign_keys = ON', 'busy_timeout = 5000', 'secure_delete = ON', 'trusted_schema = OFF'];

/** One connection, with every pragma it needs. FULL is set explicitly: better-sqlite3 would drop to NORMAL after the first WAL write. */
export function connect(file: string): Database.Database {
  // In KiB: better-sqlite3 would keep 16 MB of pages; the hot ones fit in four.
  return withPragmas(new Database(file), ['journal_mode = WAL', ...SAFE, 'cache_size = -4096']);
}

/** A connection to a finished copy that must stay as it is: no file appears beside it. */
export function connectToRead(file: string): Database.Database {
  return withPragmas(new Database(file, { readonly: true, fileMustExist: true }), SAFE);
}

function withPragmas(raw: Database.Database, pragmas: string[]): Database.Database {
  try {
    for (const pragma of pragmas) raw.pragma(pragma);
    return raw;
  } catch (error) {
    raw.close();
    throw error;
  }
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
  /**
   * The same for works that may come many at once: those of one turn of the event loop share a transaction, and so one wait for the
   * disk. Each stands or falls alone, in the order they came; each resolves when all are on the disk.
   */
  writeTogether: <T>(work: (tx: Tx) => T) => Promise<T>;
  close: () => void;
}

export function wrap(raw: Database.Database): Db {
  const q = drizzle(preparingOnce(raw), { schema });
  let writes = 0;
  const write: Db['write'] = (work) => {
    const result = raw.transaction(() => work(q)).immediate();
    writes += 1;
    return result;
  };
  return {
    raw,
    q,
    writes: () => writes,
    write,
    writeTogether: gathered(raw, q, write),
    close: () => {
      raw.close();
    },
  };
}

interface Waiting {
  /** Runs the work in a savepoint of its own; gives what to do once all is on the disk. */
  run: () => () => void;
  reject: (error: unknown) => void;
}

function gathered(raw: Database.Database, q: Tx, write: Db['write']): Db['writeTogether'] {
  let waiting: Waiting[] = [];

  function flush(): void {
    const works = waiting;
    waiting = [];
    try {
      const answers = write(() => works.map((work) => work.run()));
      for (const answer of answers) answer();
    } catch (error) {
      // The commit itself failed: nothing of any of them was kept.
      for (const work of works) work.reject(error);
    }
  }

  return (work) =>
    new Promise((resolve, reject) => {
      if (waiting.length === 0) setImmediate(flush);
      const run = () => {
        try {
          const result = raw.transaction(() => work(q))();
          return () => resolve(result);
        } catch (error) {
          return () => reject(error instanceof Error ? error : new Error(String(error)));
        }
      };
      waiting.push({ run, reject });
    });
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
