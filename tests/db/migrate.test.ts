import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { type Migration, migrate, readMigrations, schemaVersion } from '../../server/db/migrate.js';

const steps = readMigrations(join(ROOT, 'migrations'));
const FIXTURES = join(ROOT, 'tests/db/fixtures');

/** A database at a past version with rows in every table: the steps up to it, then its fixture. */
function past(version: number): Database.Database {
  const raw = new Database(':memory:');
  migrate(raw, steps.slice(0, version));
  raw.pragma('foreign_keys = ON');
  raw.exec(readFileSync(join(FIXTURES, `${String(version).padStart(4, '0')}.sql`), 'utf8'));
  return raw;
}

function counts(raw: Database.Database): Record<string, number> {
  const tables = raw
    .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
    .pluck()
    .all() as string[];
  return Object.fromEntries(tables.map((table) => [table, raw.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number]));
}

describe('migrating', () => {
  it('has a populated file of every version, the newest among them', () => {
    expect(readdirSync(FIXTURES).sort()).toEqual(steps.map((step) => `${String(step.version).padStart(4, '0')}.sql`));
  });

  it.each(steps.map((step) => step.version))('a populated file of version %i keeps every row', (version) => {
    const raw = past(version);
    const before = counts(raw);
    expect(Object.entries(before).filter(([, count]) => count === 0)).toEqual([]);
    migrate(raw, steps);
    expect(schemaVersion(raw)).toBe(steps.length);
    const after = counts(raw);
    expect(Object.fromEntries(Object.keys(before).map((table) => [table, after[table]]))).toEqual(before);
    expect(raw.pragma('foreign_key_check')).toEqual([]);
    expect(raw.pragma('integrity_check', { simple: true })).toBe('ok');
  });

  const rebuild: Migration = {
    version: 2,
    name: 'rebuild',
    sql: `CREATE TABLE parents_new (id INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT;
      INSERT INTO parents_new SELECT id, 'x' FROM parents; DROP TABLE parents; ALTER TABLE parents_new RENAME TO parents;`,
  };
  const first: Migration = {
    version: 1,
    name: 'first',
    sql: `CREATE TABLE parents (id INTEGER PRIMARY KEY) STRICT;
      CREATE TABLE children (id INTEGER PRIMARY KEY, parent INTEGER NOT NULL REFERENCES parents (id) ON DELETE CASCADE) STRICT;`,
  };

  function withChildren() {
    const raw = new Database(':memory:');
    raw.pragma('foreign_keys = ON');
    migrate(raw, [first]);
    raw.exec('INSERT INTO parents VALUES (1); INSERT INTO children VALUES (1, 1), (2, 1);');
    return raw;
  }

  it('rebuilds a table without emptying its children, and backs up before', () => {
    const raw = withChildren();
    const backups: number[] = [];
    expect(migrate(raw, [first, rebuild], { before: (from) => backups.push(from) })).toBe(1);
    expect(counts(raw)).toEqual({ children: 2, parents: 1 });
    expect(backups).toEqual([1]);
    expect(raw.pragma('foreign_keys', { simple: true })).toBe(1);
  });

  it('undoes a step that fails or leaves rows pointing at nothing, its number with it', () => {
    const raw = withChildren();
    expect(() => migrate(raw, [first, { ...rebuild, sql: 'DELETE FROM children; SELECT nonsense;' }])).toThrow();
    expect(() => migrate(raw, [first, { ...rebuild, sql: 'DELETE FROM parents;' }])).toThrow(/point at nothing/);
    expect(counts(raw)).toEqual({ children: 2, parents: 1 });
    expect(schemaVersion(raw)).toBe(1);
  });

  it('refuses a database that a newer program wrote', () => {
    const raw = withChildren();
    raw.pragma('user_version = 9');
    expect(() => migrate(raw, [first])).toThrow(/version 9, this program knows up to 1/);
  });
});
