import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type Database from 'better-sqlite3';

export interface Migration {
  version: number;
  name: string;
  sql: string;
}

/** The numbered steps in `folder`, in order; throws where a number is missing or doubled. */
export function readMigrations(folder: string): Migration[] {
  const names = readdirSync(folder)
    .filter((name) => /^\d{4}_\w+\.sql$/.test(name))
    .sort();
  return names.map((name, index) => {
    const version = Number(name.slice(0, 4));
    if (version !== index + 1) throw new Error(`migrations: expected number ${index + 1}, found ${name}`);
    return { version, name, sql: readFileSync(join(folder, name), 'utf8') };
  });
}

/** The schema version a database file holds; 0 for an empty one. */
export function schemaVersion(raw: Database.Database): number {
  return raw.pragma('user_version', { simple: true }) as number;
}

export interface Around {
  /** Called once if there is anything to do to a database that holds data, so that it can be backed up. */
  before?: (from: number) => void;
  /** What a step's SQL can't do, by the step's number: called right after it, in its transaction. It knows the tables of that step only. */
  companions?: ReadonlyMap<number, () => void>;
}

/**
 * Brings the database to the newest step: each step, its companion and its number in one transaction, foreign keys off meanwhile (inside
 * a transaction the pragma is ignored, and rebuilding a table would empty its children) and checked before each step commits.
 */
export function migrate(raw: Database.Database, steps: Migration[], { before, companions }: Around = {}): number {
  const from = schemaVersion(raw);
  const newest = steps.length;
  if (from > newest)
    throw new Error(
      `This database is at version ${from}, this program knows up to ${newest}. Start the newer program, or restore an older backup.`,
    );
  const owed = steps.slice(from);
  if (owed.length === 0) return 0;
  if (from > 0) before?.(from);
  raw.pragma('foreign_keys = OFF');
  try {
    for (const step of owed) raw.transaction(() => apply(raw, step, companions?.get(step.version))).immediate();
  } finally {
    raw.pragma('foreign_keys = ON');
  }
  return owed.length;
}

function apply(raw: Database.Database, step: Migration, companion: () => void = () => {}): void {
  raw.exec(step.sql);
  companion();
  const broken = raw.pragma('foreign_key_check') as unknown[];
  if (broken.length > 0) throw new Error(`${step.name} leaves ${broken.length} rows that point at nothing; nothing was changed.`);
  raw.pragma(`user_version = ${step.version}`);
}
