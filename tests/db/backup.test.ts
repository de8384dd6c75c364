import { mkdirSync, readdirSync, rmSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { backUp } from '../../server/db/backup.js';
import { openFolder } from '../../server/db/folder.js';
import { schemaVersion } from '../../server/db/migrate.js';
import { connect, connectToRead } from '../../server/db/open.js';
import { rotateKeys } from '../../server/db/rotate.js';
import { keyMark } from '../../server/db/seal.js';
import { passingFolder } from '../support/folder.js';
import { KEYS, keyLines, type Laid, layFolder, STEPS, writeKeyFile } from './sealed-folder.js';

function backup(laid: Laid, file: string, set: Record<string, string> = {}) {
  return backUp(laid.config(set), file, () => {});
}

describe('a backup', () => {
  it('is made beside a running service, for its owner alone to read, and says what is in it', () => {
    const laid = layFolder();
    const service = openFolder(laid.config(), () => {});
    const file = join(passingFolder(), 'waymeet.db');
    const umask = process.umask(0);
    const made = backup(laid, file);
    process.umask(umask);
    const count = (table: string) => service.db.raw.prepare(`SELECT count(*) FROM ${table}`).pluck().get();
    expect(made).toEqual({
      file,
      bytes: statSync(file).size,
      version: STEPS.length,
      walks: count('walks'),
      signUps: count('sign_ups'),
      marks: [keyMark(Buffer.from(KEYS.old, 'hex'))],
      signatures: { count: count('waivers'), hash: '' },
    });
    expect(made.walks).toBeGreaterThan(0);
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(readdirSync(join(file, '..'))).toEqual(['waymeet.db']);
    service.db.write(() => service.db.raw.exec('DELETE FROM kept_contacts'));
    const copy = connectToRead(file);
    expect(copy.prepare('SELECT count(*) FROM kept_contacts').pluck().get()).toBe(20);
    copy.close();
    service.close();
  });

  it('migrates nothing', () => {
    const laid = layFolder(3, 2);
    const file = join(passingFolder(), 'old.db');
    expect(backup(laid, file).version).toBe(2);
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    expect(schemaVersion(raw)).toBe(2);
    raw.close();
    expect(readdirSync(laid.dataDir).sort()).toEqual(['seal.key', 'waymeet.db']);
  });

  it('is made while a change of keys is not finished', () => {
    const laid = layFolder(400);
    const killed = new Error('killed');
    const kill = () => {
      rotateKeys(
        laid.config(),
        () => {},
        (step) => {
          if (step.startsWith('400')) throw killed;
        },
      );
    };
    expect(kill).toThrow(killed);
    const marks = keyLines(laid.dataDir).map((line) => keyMark(Buffer.from(line, 'hex')));
    expect(marks).toHaveLength(2);
    expect(backup(laid, join(passingFolder(), 'a.db')).marks).toEqual(marks);
  });

  it('does not overwrite a file, and does not touch one that another is writing', () => {
    const laid = layFolder(1);
    const file = join(passingFolder(), 'a.db');
    backup(laid, file);
    expect(() => backup(laid, file)).toThrow(/is there already, and is not overwritten/);
    const other = join(passingFolder(), 'b.db');
    writeFileSync(`${other}.making`, 'half');
    expect(() => backup(laid, other)).toThrow(/b\.db\.making is there: a backup is being written/);
    expect(statSync(`${other}.making`).size).toBe(4);
  });

  it('does not go where the key is', () => {
    const laid = layFolder(1);
    const elsewhere = passingFolder();
    mkdirSync(join(laid.dataDir, 'backups'));
    symlinkSync(laid.dataDir, join(elsewhere, 'link'));
    for (const place of [laid.dataDir, join(laid.dataDir, 'backups'), join(elsewhere, 'link')])
      expect(() => backup(laid, join(place, 'a.db'))).toThrow(/key and a backup do not lie together/);
    writeKeyFile(elsewhere, [KEYS.old]);
    expect(() => backup(laid, join(elsewhere, 'a.db'))).toThrow(/holds a seal\.key: the key and a backup do not lie together/);
    expect(() => backup(laid, join(elsewhere, 'none', 'a.db'))).toThrow(/none is not there: make it first/);
    expect(readdirSync(laid.dataDir).sort()).toEqual(['backups', 'seal.key', 'waymeet.db']);
  });

  it('is refused, and leaves nothing behind, without the key, with another, or where rows point at nothing', () => {
    const laid = layFolder(1);
    const folder = passingFolder();
    const file = join(folder, 'a.db');
    expect(() => backup(laid, file, { SEAL_KEY: KEYS.other })).toThrow(/does not open this database/);
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    raw.pragma('foreign_keys = OFF');
    raw.exec('UPDATE kept_contacts SET person_id = 9999');
    raw.close();
    expect(() => backup(laid, file)).toThrow(/damaged \(rows of kept_contacts point at nothing\)/);
    rmSync(join(laid.dataDir, 'seal.key'));
    expect(() => backup(laid, file)).toThrow(/key that opens the emergency details is missing/);
    rmSync(join(laid.dataDir, 'waymeet.db'));
    expect(() => backup(laid, file)).toThrow(/no Waymeet database/);
    expect(readdirSync(folder)).toEqual([]);
  });
});
