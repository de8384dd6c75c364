import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { migrate, readMigrations } from '../../server/db/migrate.js';
import { wrap } from '../../server/db/open.js';
import { Sealer } from '../../server/db/seal.js';
import { chainOld } from '../../server/waivers/chain-old.js';
import { verifyChain } from '../../server/waivers/verify.js';
import { freshDatabase } from '../support/app.js';

const sealer = new Sealer(Buffer.alloc(32, 3));

/** The populated file of the version before there was a chain, brought up. */
function before() {
  const steps = readMigrations(join(ROOT, 'migrations'));
  const raw = new Database(':memory:');
  migrate(raw, steps.slice(0, 2));
  raw.exec(readFileSync(join(ROOT, 'tests/db/fixtures/0002.sql'), 'utf8'));
  migrate(raw, steps);
  return wrap(raw);
}

it('signatures from before the chain are chained once, in their order, and verify', () => {
  const db = before();
  expect(verifyChain(db.raw, sealer).faults).toHaveLength(5 + 1);
  expect(chainOld(db, sealer)).toBe(5);
  expect(verifyChain(db.raw, sealer)).toEqual({ count: 5, faults: [] });
  expect(chainOld(db, sealer)).toBe(0);
  expect(() => db.raw.exec("UPDATE waivers SET signature = 'Eve'")).toThrow('never changed');
});

it('a row put in by hand later is not taken for one of them', () => {
  const db = before();
  chainOld(db, sealer);
  db.raw.exec(`INSERT INTO waivers SELECT NULL, how, text_id, text_sha256, sign_up_id, member_id, email, '', 'Eve', 'eve', signed_as, signer_name, signer_key,
    signature, intent, consent, proof, seen_by, signed_at, kept_at, format, '', '', '' FROM waivers LIMIT 1`);
  expect(chainOld(db, sealer)).toBe(0);
  db.raw.exec('DELETE FROM waiver_head');
  expect(chainOld(db, sealer)).toBe(0);
  expect(verifyChain(db.raw, sealer).faults).not.toEqual([]);
});

it('chains all or nothing', () => {
  const db = before();
  db.raw.exec(
    "CREATE TEMP TRIGGER full BEFORE UPDATE ON main.waivers WHEN OLD.id = 803 BEGIN SELECT RAISE(ABORT, 'the disk is full'); END",
  );
  expect(() => chainOld(db, sealer)).toThrow('the disk is full');
  expect(db.raw.prepare("SELECT count(*) FROM waivers WHERE hash <> ''").pluck().get()).toBe(0);
});

it('a new group has nothing to chain', () => {
  const db = freshDatabase();
  expect(chainOld(db, sealer)).toBe(0);
  expect(db.raw.prepare('SELECT count(*) FROM waiver_head').pluck().get()).toBe(0);
  db.close();
});
