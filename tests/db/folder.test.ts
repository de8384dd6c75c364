import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { ROOT, readConfig } from '../../server/config.js';
import { copyDatabase, forgetOldCopies, openFolder } from '../../server/db/folder.js';
import { readMigrations, schemaVersion } from '../../server/db/migrate.js';

let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'waymeet-folder-'));
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

function open(set: Record<string, string> = {}) {
  return openFolder(readConfig({ DATA_DIR: folder, ...set }), () => {});
}

describe('DATA_DIR', () => {
  it('is made on the first start, its key readable by its owner alone, and opens again', () => {
    open().close();
    expect(statSync(join(folder, 'seal.key')).mode & 0o777).toBe(0o600);
    open().close();
  });

  it('is held by one process alone', () => {
    const held = open();
    expect(() => open()).toThrow(/Another Waymeet is running/);
    held.close();
    open().close();
  });

  it('is not silently begun anew where its database is gone', () => {
    open().close();
    rmSync(join(folder, 'waymeet.db'));
    expect(() => open()).toThrow(/has been used before, but waymeet.db is gone/);
  });

  it('does not open without its key, or with another', () => {
    open().close();
    const key = readFileSync(join(folder, 'seal.key'));
    rmSync(join(folder, 'seal.key'));
    expect(() => open()).toThrow(/key that opens the emergency details is missing/);
    writeFileSync(join(folder, 'seal.key'), 'f'.repeat(64));
    expect(() => open()).toThrow(/does not open this database/);
    writeFileSync(join(folder, 'seal.key'), key);
    open().close();
  });

  it('is copied before it is migrated, checked, and an earlier try does not stand in the way', () => {
    open().close();
    const file = join(folder, 'waymeet.db');
    const raw = new Database(file);
    const steps = readMigrations(join(ROOT, 'migrations'));
    writeFileSync(join(folder, 'copy.db.making'), 'half a copy');
    writeFileSync(join(folder, 'copy.db'), 'an older copy');
    copyDatabase(raw, join(folder, 'copy.db'));
    raw.close();
    const copy = new Database(join(folder, 'copy.db'));
    expect(schemaVersion(copy)).toBe(steps.length);
    copy.close();
  });

  it('forgets copies that migrating and restoring left, after 30 days, and nothing else', () => {
    const now = Date.UTC(2026, 10, 25, 12);
    const limit = now - 30 * 24 * 60 * 60_000;
    const lay = (name: string, at: number) => {
      writeFileSync(join(folder, name), '');
      utimesSync(join(folder, name), at / 1000, at / 1000);
    };
    const [due, young] = ['before-migration-1.db', 'before-restore-2026-10-26T12-00-00-000Z.db'];
    for (const name of [due, `${due}-wal`, 'waymeet.db', 'seal.key', 'before-dinner.db', `my-${due}`]) lay(name, limit - 1);
    lay(young, limit);
    expect(forgetOldCopies(folder, now)).toBe(2);
    expect(readdirSync(folder).sort()).toEqual(['before-dinner.db', young, `my-${due}`, 'seal.key', 'waymeet.db']);
    expect(forgetOldCopies(folder, now + 1)).toBe(1);
  });

  it('keeps every commit on the disk: FULL holds after the first WAL write', () => {
    const { db, dataDir, close } = open();
    expect(dataDir).toBe(folder);
    expect(db.raw.pragma('synchronous', { simple: true })).toBe(2);
    expect(db.raw.pragma('journal_mode', { simple: true })).toBe('wal');
    expect(db.raw.pragma('foreign_keys', { simple: true })).toBe(1);
    expect(db.raw.pragma('secure_delete', { simple: true })).toBe(1);
    close();
  });
});
