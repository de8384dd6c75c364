import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { ROOT, readConfig } from '../../server/config.js';
import { backUp } from '../../server/db/backup.js';
import { bringUp } from '../../server/db/bring-up.js';
import { openFolder } from '../../server/db/folder.js';
import type { KeysAtHand } from '../../server/db/key-source.js';
import { migrate, schemaVersion } from '../../server/db/migrate.js';
import { connect } from '../../server/db/open.js';
import { restore } from '../../server/db/restore.js';
import { Sealer } from '../../server/db/seal.js';
import { verifyChain } from '../../server/waivers/verify.js';
import { KEYS, layFolder, STEPS } from '../db/sealed-folder.js';
import { NOON } from '../support/app.js';
import { passingFolder } from '../support/folder.js';

const KEY = Buffer.from(KEYS.old, 'hex');
const GIVEN: KeysAtHand = { keys: [KEY], from: 'SEAL_KEY' };
const FORGE = `DROP TRIGGER waivers_stay; DROP TRIGGER waivers_fixed; DROP TRIGGER waivers_added;
  UPDATE waivers SET for_name = 'Eve', hash = '', previous = ''; DELETE FROM waiver_head;`;

/** A database of the version before there was a chain, with its rows. */
function before(file = ':memory:'): Database.Database {
  const raw = connect(file);
  migrate(raw, STEPS.slice(0, 2));
  raw.exec(readFileSync(join(ROOT, 'tests/db/fixtures/0002.sql'), 'utf8'));
  return raw;
}

function start({ config }: ReturnType<typeof layFolder>) {
  const log: string[] = [];
  const data = openFolder(config(), (line) => log.push(line));
  const verified = verifyChain(data.db.raw, data.sealer);
  return { ...data, log, verified };
}

it('signatures from before the chain are chained when the database is brought up, in their order, and verify', () => {
  const raw = before();
  const log: string[] = [];
  bringUp(raw, GIVEN, (line) => log.push(line));
  expect(log).toEqual(['Signatures from before the chain, chained now: 5.']);
  expect(verifyChain(raw, new Sealer(KEY))).toEqual({ count: 5, faults: [] });
  expect(() => raw.exec("UPDATE waivers SET signature = 'Eve'")).toThrow('never changed');
});

it('a folder of that version is chained at its first start, and a later start chains nothing that someone without the key rewrote', () => {
  const laid = layFolder(1, 2);
  const first = start(laid);
  expect(first.verified).toEqual({ count: 5, faults: [] });
  expect(first.log).toContain('Signatures from before the chain, chained now: 5.');
  first.db.raw.exec(FORGE);
  first.close();
  const again = start(laid);
  expect(again.log).toEqual([]);
  expect(again.verified.faults).toHaveLength(5 + 1);
  again.close();
});

it('a new folder has its chain begun before the first signature', () => {
  const config = readConfig({ DATA_DIR: passingFolder() });
  const { db, sealer, close } = openFolder(config, () => {});
  expect(verifyChain(db.raw, sealer)).toEqual({ count: 0, faults: [] });
  db.raw.exec('DELETE FROM waiver_head');
  close();
  const again = openFolder(config, () => {});
  expect(verifyChain(again.db.raw, again.sealer).faults).toEqual([
    { waiverId: null, sentence: 'Where the chain ends is not written down any more.' },
  ]);
  again.close();
});

it('chains all or nothing, with the step itself: what was broken off is done by the next start', () => {
  const raw = before();
  raw.exec('PRAGMA foreign_keys = OFF; UPDATE waivers SET text_id = 999 WHERE id = 803');
  expect(() => bringUp(raw, GIVEN, () => {})).toThrow('the text that signature 803 is for is not there');
  expect(schemaVersion(raw)).toBe(2);
  expect(raw.prepare("SELECT value FROM settings WHERE key = 'sealKeys'").all()).toEqual([]);
  raw.exec('UPDATE waivers SET text_id = 2 WHERE id = 803');
  bringUp(raw, GIVEN, () => {});
  expect(verifyChain(raw, new Sealer(KEY))).toEqual({ count: 5, faults: [] });
});

it('another key than the one in use is refused before anything is changed or copied', () => {
  const laid = layFolder(1, 2);
  expect(() => openFolder(laid.config({ SEAL_KEY: KEYS.other }), () => {})).toThrow(/does not open this database/);
  const raw = connect(join(laid.dataDir, 'waymeet.db'));
  expect(schemaVersion(raw)).toBe(2);
  raw.close();
  expect(readdirSync(laid.dataDir).filter((name) => name.startsWith('before-'))).toEqual([]);
  expect(start(laid).verified.faults).toEqual([]);
});

it('an older backup is chained when it is restored', () => {
  const laid = layFolder(1, 2);
  const file = join(passingFolder(), 'old.db');
  backUp(laid.config(), file, () => {});
  const empty = passingFolder();
  const config = { ...laid.config({ SEAL_KEY: KEYS.old }), dataDir: empty };
  const log: string[] = [];
  restore(config, file, NOON, (line) => log.push(line));
  expect(log).toEqual(['Signatures from before the chain, chained now: 5.']);
  const { db, sealer, close } = openFolder(config, () => {});
  expect(verifyChain(db.raw, sealer)).toEqual({ count: 5, faults: [] });
  close();
});
