import { readFileSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openFolder } from '../../server/db/folder.js';
import { connect } from '../../server/db/open.js';
import { type Rotated, rotateKeys } from '../../server/db/rotate.js';
import { keyMark } from '../../server/db/seal.js';
import { SEALED } from '../../server/db/sealed-columns.js';
import { passingFolder } from '../support/folder.js';
import { KEYS, keyLines, type Laid, layFolder, startAndOpenAll, writeKeyFile } from './sealed-folder.js';

function rotate(laid: Laid, set: Record<string, string> = {}, reached?: (step: string) => void): Rotated {
  return rotateKeys(laid.config(set), () => {}, reached);
}

/** Runs it as if it were killed at its `step`th step: nothing after that step happens. Gives the step's name, or null where it ended before. */
function killedAt(laid: Laid, step: number, set: Record<string, string> = {}): string | null {
  const killed = new Error('killed');
  let at = '';
  let count = 0;
  try {
    rotate(laid, set, (name) => {
      at = name;
      if (count++ === step) throw killed;
    });
    return null;
  } catch (error) {
    if (error !== killed) throw error;
    return at;
  }
}

describe('a change of keys', () => {
  it('seals everything with a new key, keeps every link, and takes the old key out of file and database', () => {
    const laid = layFolder(400);
    const done = rotate(laid);
    const [line = '', ...more] = keyLines(laid.dataDir);
    expect(more).toEqual([]);
    expect(line).not.toBe(KEYS.old);
    expect(statSync(join(laid.dataDir, 'seal.key')).mode & 0o777).toBe(0o600);
    expect(done).toEqual({
      mark: keyMark(Buffer.from(line, 'hex')),
      resealed: 800,
      broken: [],
      retired: [keyMark(Buffer.from(KEYS.old, 'hex'))],
      from: 'seal.key',
    });
    expect(startAndOpenAll(laid)).toEqual({ count: 800, wrong: [], keyIds: [2], derived: laid.derived, log: [] });
    expect(() => startAndOpenAll(laid, { SEAL_KEY: KEYS.old })).toThrow(/does not open this database/);
  });

  it('leaves nothing that the old key opens, neither in the database nor in a log beside it', () => {
    const laid = layFolder();
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    const sealed = raw.prepare('SELECT sealed FROM emergency_contacts LIMIT 1').pluck().get() as Buffer;
    raw.close();
    expect(readFileSync(join(laid.dataDir, 'waymeet.db')).includes(sealed)).toBe(true);
    rotate(laid);
    expect(readFileSync(join(laid.dataDir, 'waymeet.db')).includes(sealed)).toBe(false);
    expect(() => statSync(join(laid.dataDir, 'waymeet.db-wal'))).toThrow(/ENOENT/);
  });

  it('can be made again and again: numbers go round', () => {
    const laid = layFolder(1);
    startAndOpenAll(laid);
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    raw.exec(
      `UPDATE settings SET value = json_set(value, '$.keys[0].id', 255) WHERE key = 'sealKeys';
       UPDATE emergency_contacts SET sealed = unhex('01ff' || substr(hex(sealed), 5));
       UPDATE kept_contacts SET sealed = unhex('01ff' || substr(hex(sealed), 5));`,
    );
    const sealed = JSON.parse(raw.prepare("SELECT value FROM settings WHERE key = 'sealDerivation'").pluck().get() as string) as string;
    const renamed = Buffer.from(sealed, 'base64');
    renamed[1] = 255;
    raw.prepare("UPDATE settings SET value = ? WHERE key = 'sealDerivation'").run(JSON.stringify(renamed.toString('base64')));
    raw.close();
    for (const keyId of [1, 2]) {
      rotate(laid);
      expect(startAndOpenAll(laid)).toMatchObject({ wrong: [], keyIds: [keyId], derived: laid.derived });
    }
  });

  it('goes on after a kill between any two steps, and the service starts in between', () => {
    const steps: string[] = [];
    for (;;) {
      const laid = layFolder(301);
      const reached = killedAt(laid, steps.length);
      if (reached === null) break;
      steps.push(reached);
      expect(startAndOpenAll(laid)).toMatchObject({ count: 602, wrong: [], derived: laid.derived });
      const [newest] = keyLines(laid.dataDir);
      rotate(laid);
      // Finished, not begun anew: the key is the one that the killed run made.
      expect(startAndOpenAll(laid)).toEqual({ count: 602, wrong: [], keyIds: [2], derived: laid.derived, log: [] });
      expect(keyLines(laid.dataDir)).toEqual([newest]);
    }
    expect(steps[0]).toBe('the new key is in the file');
    expect(steps).toContain('the database has retired the old key');
    // One for each sealed column, one more for each further batch, and those around them.
    expect(steps).toHaveLength(7 + SEALED.length);
  });

  it('with SEAL_KEY wants the new key before the one in use, and goes on after a kill, too', () => {
    const laid = layFolder(400);
    rmSync(join(laid.dataDir, 'seal.key'));
    const both = { SEAL_KEY: `${KEYS.new}, ${KEYS.old}` };
    for (const set of [{ SEAL_KEY: KEYS.old }, { SEAL_KEY: `${KEYS.old},${KEYS.new}` }])
      expect(() => rotate(laid, set)).toThrow(/^Set SEAL_KEY to the new key, a comma, and the key in use/);
    expect(killedAt(laid, 1, both)).toMatch(/300 values are sealed again/);
    expect(startAndOpenAll(laid, both)).toMatchObject({ wrong: [], keyIds: [1, 2], derived: laid.derived });
    expect(() => startAndOpenAll(laid, { SEAL_KEY: KEYS.new })).toThrow(
      /key with the mark \w+ is missing \(the one here has the mark \w+\).*SEAL_KEY, after a comma/,
    );
    expect(rotate(laid, both)).toMatchObject({ resealed: 500, broken: [], retired: [expect.any(String)], from: 'SEAL_KEY' });
    expect(startAndOpenAll(laid, { SEAL_KEY: KEYS.new })).toMatchObject({ wrong: [], keyIds: [2], derived: laid.derived, log: [] });
    // The same once more does nothing.
    expect(rotate(laid, both)).toMatchObject({ resealed: 0, retired: [] });
    expect(startAndOpenAll(laid, both).keyIds).toEqual([2]);
  });

  it.each([
    ['changed', 'UPDATE emergency_contacts SET sealed = zeroblob(80) WHERE member_id = (SELECT max(member_id) FROM emergency_contacts)'],
    ['of another row', 'UPDATE kept_contacts SET sealed = (SELECT sealed FROM kept_contacts WHERE id = 1) WHERE id = 2'],
    ['with a key number that is not its own', "UPDATE kept_contacts SET sealed = unhex('0102' || substr(hex(sealed), 5)) WHERE id = 3"],
  ])('leaves a value that is %s as it is, says which, and keeps the old key', (_, sql) => {
    const laid = layFolder();
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    expect(raw.prepare(sql).run().changes).toBe(1);
    raw.close();
    const done = rotate(laid);
    expect(done).toMatchObject({ resealed: 39, retired: [] });
    expect(done.broken).toHaveLength(1);
    const [, old] = keyLines(laid.dataDir);
    expect(old).toBe(KEYS.old);
    expect(startAndOpenAll(laid).wrong).toEqual(done.broken);
    // Once it is gone, the next run retires the key.
    const again = connect(join(laid.dataDir, 'waymeet.db'));
    const [table = '', row] = done.broken[0]?.split(' ') ?? [];
    again.prepare(`DELETE FROM ${table} WHERE ${table === 'kept_contacts' ? 'id' : 'member_id'} = ?`).run(Number(row));
    again.close();
    expect(rotate(laid)).toMatchObject({ resealed: 0, broken: [], retired: [keyMark(Buffer.from(KEYS.old, 'hex'))] });
    expect(keyLines(laid.dataDir)).toHaveLength(1);
  });

  it('leaves lines in the file alone that this database knows nothing of', () => {
    const laid = layFolder();
    writeKeyFile(laid.dataDir, [KEYS.old, KEYS.other]);
    rotate(laid);
    expect(keyLines(laid.dataDir)).toEqual([expect.any(String), KEYS.other]);
    expect(startAndOpenAll(laid).wrong).toEqual([]);
  });

  it('refuses where the service runs, where no database is, and where no key is', () => {
    const laid = layFolder();
    const held = openFolder(laid.config(), () => {});
    expect(() => rotate(laid)).toThrow(/Another Waymeet is running/);
    held.close();
    const empty = passingFolder();
    expect(() => rotateKeys({ ...laid.config(), dataDir: empty }, () => {})).toThrow(/There is no Waymeet database in/);
    rmSync(join(laid.dataDir, 'seal.key'));
    expect(() => rotate(laid)).toThrow(/key that opens the emergency details is missing/);
    writeKeyFile(laid.dataDir, [KEYS.other]);
    expect(() => rotate(laid)).toThrow(/does not open this database/);
    expect(() => rotate(laid)).not.toThrow(/keys:rotate/);
  });
});
