import {
  appendFileSync,
  chownSync,
  copyFileSync,
  existsSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { beforeEach, describe, expect, it } from 'vitest';
import { backUp } from '../../server/db/backup.js';
import { openFolder } from '../../server/db/folder.js';
import { connect, connectToRead } from '../../server/db/open.js';
import { restore } from '../../server/db/restore.js';
import { rotateKeys } from '../../server/db/rotate.js';
import { Sealer } from '../../server/db/seal.js';
import { addressMark } from '../../server/privacy/marks.js';
import { layTombstones } from '../../server/privacy/tombstones.js';
import { passingFolder } from '../support/folder.js';
import { KEYS, keyLines, type Laid, layFolder, STEPS, startAndOpenAll, writeKeyFile } from './sealed-folder.js';

const NOW = Date.UTC(2026, 10, 25, 12);
const KEPT = 'before-restore-2026-11-25T12-00-00-000Z.db';

let laid: Laid;
let file: string;

beforeEach(() => {
  laid = layFolder();
  startAndOpenAll(laid);
  file = join(passingFolder(), 'backup.db');
  backUp(laid.config(), file, () => {});
});

const back = (set: Record<string, string> = {}, dataDir = laid.dataDir) => restore({ ...laid.config(set), dataDir }, file, NOW, () => {});

function change(sql: string, database = join(laid.dataDir, 'waymeet.db')): void {
  const raw = connect(database);
  raw.pragma('foreign_keys = OFF');
  raw.exec(sql);
  raw.close();
}

function count(table: string, database = join(laid.dataDir, 'waymeet.db')): number {
  const raw = connectToRead(database);
  const rows = raw.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get() ?? 0;
  raw.close();
  return rows;
}

describe('restoring', () => {
  it('brings all of it back, and keeps what was there', () => {
    change('DELETE FROM kept_contacts');
    const done = back();
    expect(done).toMatchObject({ version: STEPS.length, walks: count('walks'), kept: join(laid.dataDir, KEPT), erasedAgain: 0 });
    expect(startAndOpenAll(laid)).toMatchObject({ count: 40, wrong: [], derived: laid.derived });
    expect(count('kept_contacts', join(laid.dataDir, KEPT))).toBe(0);
    for (const name of ['waymeet.db', KEPT]) expect(statSync(join(laid.dataDir, name)).mode & 0o777).toBe(0o600);
    expect(readdirSync(laid.dataDir).filter((name) => /restoring|making/.test(name))).toEqual([]);
  });

  it('works into an empty folder, with the key as a file or as a setting', () => {
    const empty = passingFolder();
    expect(back({ SEAL_KEY: KEYS.old }, empty).kept).toBe(null);
    const other = passingFolder();
    expect(() => back({}, other)).toThrow(/key that opens the emergency details is missing/);
    expect(readdirSync(other)).toEqual([]);
    writeKeyFile(other, [KEYS.old]);
    back({}, join(other));
    for (const dataDir of [empty, other]) {
      const data = openFolder({ ...laid.config({ SEAL_KEY: KEYS.old }), dataDir }, () => {});
      expect(data.db.raw.prepare('SELECT count(*) FROM kept_contacts').pluck().get()).toBe(20);
      data.close();
    }
  });

  it.runIf(process.getuid?.() === 0)('belongs to whom the folder belongs, where root does it, and so does a changed key', () => {
    const nobody = 65_534;
    chownSync(laid.dataDir, nobody, nobody);
    back();
    rotateKeys(laid.config(), () => {});
    layTombstones(laid.dataDir, new Sealer(Buffer.alloc(32, 7)), [{ mark: 'm'.repeat(43), at: NOW }]);
    for (const name of ['waymeet.db', KEPT, 'seal.key', 'erased.list'])
      expect(statSync(join(laid.dataDir, name))).toMatchObject({ uid: nobody, gid: nobody });
  });

  it('removes a log that belongs to the database before, and keeps what was in it', () => {
    // As a killed service leaves it: the last commit is in the log alone.
    const source = connect(join(laid.dataDir, 'waymeet.db'));
    source.exec("UPDATE areas SET name = 'Only in the log'");
    const [database, wal] = ['', '-wal'].map((part) => readFileSync(join(laid.dataDir, `waymeet.db${part}`)));
    source.close();
    writeFileSync(join(laid.dataDir, 'waymeet.db'), database ?? '');
    writeFileSync(join(laid.dataDir, 'waymeet.db-wal'), wal ?? '');
    back();
    expect(existsSync(join(laid.dataDir, 'waymeet.db-wal'))).toBe(false);
    expect(count("areas WHERE name = 'Only in the log'")).toBe(0);
    expect(count("areas WHERE name = 'Only in the log'", join(laid.dataDir, KEPT))).toBeGreaterThan(0);
    expect(startAndOpenAll(laid).wrong).toEqual([]);
  });

  it('removes a log whose database is gone', () => {
    const source = connect(join(laid.dataDir, 'waymeet.db'));
    source.exec("UPDATE areas SET name = 'Only in the log'");
    const wal = readFileSync(join(laid.dataDir, 'waymeet.db-wal'));
    source.close();
    rmSync(join(laid.dataDir, 'waymeet.db'));
    writeFileSync(join(laid.dataDir, 'waymeet.db-wal'), wal);
    expect(back().kept).toBe(null);
    expect(existsSync(join(laid.dataDir, 'waymeet.db-wal'))).toBe(false);
    expect(startAndOpenAll(laid).wrong).toEqual([]);
    expect(count("areas WHERE name = 'Only in the log'")).toBe(0);
  });

  it('works over a database that is damaged, keeping it as it is', () => {
    writeFileSync(join(laid.dataDir, 'waymeet.db'), 'no database at all, but long enough to look like one '.repeat(100));
    writeFileSync(join(laid.dataDir, 'waymeet.db-wal'), 'nor is this a log');
    const before = readFileSync(join(laid.dataDir, 'waymeet.db'));
    back();
    expect(readFileSync(join(laid.dataDir, KEPT)).equals(before)).toBe(true);
    expect(startAndOpenAll(laid)).toMatchObject({ count: 40, wrong: [] });
  });

  it('takes a copy made by hand with the log beside it', () => {
    const raw = connect(file);
    raw.exec('DELETE FROM kept_contacts WHERE id > 5');
    const copies = passingFolder();
    for (const part of ['', '-wal']) copyFileSync(file + part, join(copies, `copy.db${part}`));
    raw.close();
    file = join(copies, 'copy.db');
    back();
    expect(count('kept_contacts')).toBe(5);
  });

  it('brings an older one up to the version of the program', () => {
    const older = layFolder(4, 2);
    rmSync(file);
    backUp(older.config(), file, () => {});
    expect(back().version).toBe(STEPS.length);
    expect(startAndOpenAll(laid)).toMatchObject({ count: 4, wrong: [], derived: laid.derived });
    const copy = new Database(file, { readonly: true });
    expect(copy.pragma('user_version', { simple: true })).toBe(2);
    copy.close();
  });

  it('ends all sessions, and says how much mail goes again', () => {
    change("UPDATE notices SET state = 'pending', ended_at = NULL WHERE id = (SELECT min(id) FROM notices)");
    rmSync(file);
    backUp(laid.config(), file, () => {});
    const copy = connectToRead(file);
    expect(copy.prepare('SELECT (SELECT count(*) FROM sessions) * (SELECT count(*) FROM sign_in_links)').pluck().get()).not.toBe(0);
    copy.close();
    const done = back();
    expect(done.mailWaiting).toBe(count("notices WHERE state = 'pending'"));
    expect(done.mailWaiting).toBeGreaterThan(0);
    expect([count('sessions'), count('sign_in_links')]).toEqual([0, 0]);
  });

  it('never gives the number of a sign-up twice, since its private link is made from it', () => {
    for (const now of [NOW, NOW + 5]) {
      restore(laid.config(), file, now, () => {});
      expect(count(`sqlite_sequence WHERE name = 'sign_ups' AND seq = ${now}`)).toBe(1);
    }
    change("DELETE FROM sqlite_sequence WHERE name = 'sign_ups'", file);
    restore(laid.config(), file, NOW + 9, () => {});
    expect(count(`sqlite_sequence WHERE name = 'sign_ups' AND seq = ${NOW + 9}`)).toBe(1);
  });

  it('erases again whoever was erased after the backup was made', () => {
    const data = openFolder(laid.config(), () => {});
    const email = data.db.raw.prepare('SELECT email FROM sign_ups LIMIT 1').pluck().get() as string;
    layTombstones(laid.dataDir, data.sealer, [{ mark: addressMark(data.sealer, email), at: NOW }]);
    data.close();
    expect(back().erasedAgain).toBe(1);
    expect(readFileSync(join(laid.dataDir, 'waymeet.db')).includes(email)).toBe(false);
  });

  it('says that those erased since are back where the list of them may be missing', () => {
    const list = join(laid.dataDir, 'erased.list');
    // Nobody was ever erased here: the database in place tells so.
    expect(back().listMissing).toBe(false);
    change(`INSERT INTO erased VALUES ('${'m'.repeat(43)}', ${NOW}, 'proof')`);
    expect(back().listMissing).toBe(true);
    layTombstones(laid.dataDir, new Sealer(Buffer.alloc(32, 7)), [{ mark: 'm'.repeat(43), at: NOW }]);
    expect(back().listMissing).toBe(false);
    rmSync(list);
    writeFileSync(join(laid.dataDir, 'waymeet.db'), 'no database at all, but long enough to look like one '.repeat(100));
    expect(back().listMissing).toBe(true);
    const empty = passingFolder();
    expect(back({ SEAL_KEY: KEYS.old }, empty).listMissing).toBe('perhaps');
  });

  it('opens one from before a change of keys if the old key is added, and the change can be made again', () => {
    rotateKeys(laid.config(), () => {});
    const [newest = ''] = keyLines(laid.dataDir);
    expect(() => back()).toThrow(
      /sealed with another key \(the one with the mark \w{12}; the one here has the mark \w{12}\): put the seal\.key that was in use/,
    );
    writeKeyFile(laid.dataDir, [newest, KEYS.old]);
    back();
    expect(startAndOpenAll(laid)).toMatchObject({ count: 40, wrong: [], keyIds: [1], derived: laid.derived });
    rotateKeys(laid.config(), () => {});
    expect(keyLines(laid.dataDir)).toEqual([newest]);
    expect(startAndOpenAll(laid)).toMatchObject({ count: 40, wrong: [], keyIds: [2], derived: laid.derived, log: [] });
  });
});

describe('restoring is refused, and nothing is changed', () => {
  const notes = (dataDir: string) => {
    const names = readdirSync(dataDir).filter((name) => !name.startsWith('waymeet.lock'));
    return names.map((name) => [name, readFileSync(join(dataDir, name)).toString('base64')]);
  };

  it.each<[string, () => void, RegExp]>([
    ['a file that is not there', () => rmSync(file), /backup\.db is not there\./],
    ['a folder', () => (file = passingFolder()), /is not a file/],
    ['the database itself', () => (file = join(laid.dataDir, 'waymeet.db')), /is the database itself/],
    ['an empty file', () => truncateSync(file, 0), /is not a Waymeet database/],
    ['something else', () => writeFileSync(file, 'Dear diary '.repeat(1000)), /is not a Waymeet database/],
    ['the database of another program', () => change('DROP TABLE sign_ups', file), /is not a Waymeet database/],
    ['one cut short', () => truncateSync(file, 40_960), /is damaged/],
    ['one with a page overwritten', () => overwrite(file), /is damaged/],
    ['one whose rows point at nothing', () => change('UPDATE kept_contacts SET person_id = 9999', file), /is damaged \(rows of/],
    ['a newer one', () => change(`PRAGMA user_version = ${STEPS.length + 1}`, file), /made by a newer Waymeet \(version \d+; this one/],
  ])('%s', (_, spoil, sentence) => {
    spoil();
    const before = notes(laid.dataDir);
    expect(() => back()).toThrow(sentence);
    expect(notes(laid.dataDir)).toEqual(before);
    expect(startAndOpenAll(laid).wrong).toEqual([]);
  });

  it('with another key', () => {
    expect(() => back({ SEAL_KEY: KEYS.other })).toThrow(/sealed with another key/);
  });

  it('while the service runs', () => {
    const service = openFolder(laid.config(), () => {});
    expect(() => back()).toThrow(/Another Waymeet is running/);
    service.close();
  });

  it('while somebody else has the database open: the end of a backup would take the new log away', () => {
    const other = connect(join(laid.dataDir, 'waymeet.db'));
    other.prepare('SELECT count(*) FROM walks').get();
    expect(() => back()).toThrow(/in use, by a backup perhaps/);
    other.close();
    expect(readdirSync(laid.dataDir).filter((name) => name.startsWith('before-restore'))).toEqual([]);
    back();
  });

  it('what one that was broken off left is gone at the next start', () => {
    writeFileSync(join(laid.dataDir, 'waymeet.db.restoring'), 'half');
    appendFileSync(join(laid.dataDir, 'waymeet.db.restoring-wal'), 'half');
    startAndOpenAll(laid);
    expect(readdirSync(laid.dataDir).filter((name) => name.includes('restoring'))).toEqual([]);
  });
});

/** Fills a stretch in the middle of the file with rubbish. */
function overwrite(database: string): void {
  const bytes = readFileSync(database);
  bytes.fill(0x5a, 40_960, 40_960 + 40_960);
  writeFileSync(database, bytes);
}
