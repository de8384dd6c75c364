import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { bringUp } from '../../server/db/bring-up.js';
import { migrate } from '../../server/db/migrate.js';
import { connect } from '../../server/db/open.js';
import { Sealer } from '../../server/db/seal.js';
import { GRACE_MS } from '../../server/joining/renewal.js';
import { chainOld } from '../../server/waivers/chain-old.js';
import { verifyChain } from '../../server/waivers/verify.js';
import { KEYS, STEPS } from '../db/sealed-folder.js';

const KEY = Buffer.from(KEYS.old, 'hex');
const SEALER = new Sealer(KEY);

/** A database with signatures in a whole chain, as it was before this step. */
function before(): Database.Database {
  const raw = connect(':memory:');
  migrate(raw, STEPS.slice(0, 2));
  raw.exec(readFileSync(join(ROOT, 'tests/db/fixtures/0002.sql'), 'utf8'));
  migrate(raw, STEPS.slice(0, 3), { companions: new Map([[3, () => void chainOld(raw, SEALER)]]) });
  return raw;
}

const rows = (raw: Database.Database) => raw.prepare('SELECT * FROM waivers ORDER BY id').all();
const given = (raw: Database.Database) => raw.prepare("SELECT seq FROM sqlite_sequence WHERE name = 'waivers'").pluck().get();
const step = (raw: Database.Database) => migrate(raw, STEPS.slice(0, 4));

it('the chain is the same to the last byte after the table was made anew, and verifies', () => {
  const raw = before();
  const kept = rows(raw);
  expect(verifyChain(raw, SEALER)).toEqual({ count: 5, faults: [] });
  step(raw);
  expect(rows(raw)).toEqual(kept);
  expect(verifyChain(raw, SEALER)).toEqual({ count: 5, faults: [] });
  expect(() => raw.exec("UPDATE waivers SET signature = 'Eve'")).toThrow('never changed');
  expect(() => raw.exec('DELETE FROM waivers')).toThrow('never deleted');
  expect(() => raw.exec('INSERT OR REPLACE INTO waivers SELECT * FROM waivers LIMIT 1')).toThrow('never changed');
});

it('the same tables, indexes and triggers hang on it as before, and one index more', () => {
  const hung = (raw: Database.Database) =>
    raw.prepare("SELECT name FROM sqlite_schema WHERE tbl_name = 'waivers' ORDER BY name").pluck().all() as string[];
  const [old, now] = [before(), before()];
  step(now);
  expect(hung(now)).toEqual([...hung(old), 'waivers_agreed'].sort());
  expect(now.prepare("SELECT sql FROM sqlite_schema WHERE name = 'waiver_traces'").pluck().get()).toContain('REFERENCES waivers (id)');
});

it('the last number given goes with it, also where rows were taken off the end', () => {
  const raw = before();
  raw.exec('DROP TRIGGER waivers_stay; PRAGMA foreign_keys = OFF; DELETE FROM waivers WHERE id = (SELECT max(id) FROM waivers)');
  const last = given(raw);
  expect(last).toBeGreaterThan(raw.prepare('SELECT max(id) FROM waivers').pluck().get() as number);
  step(raw);
  expect(given(raw)).toBe(last);
  expect(verifyChain(raw, SEALER).faults.map((fault) => fault.sentence)).toContain('The chain should hold 5 signatures; 4 are here.');
});

it('the last number given goes with it where all were taken, and none is made up where none was given', () => {
  const raw = before();
  raw.exec('DROP TRIGGER waivers_stay; PRAGMA foreign_keys = OFF; DELETE FROM waivers');
  const last = given(raw);
  step(raw);
  expect(given(raw)).toBe(last);
  const empty = connect(':memory:');
  bringUp(empty, { keys: [KEY], from: 'SEAL_KEY' }, () => {});
  expect(given(empty) ?? 0).toBe(0);
  expect(verifyChain(empty, SEALER)).toEqual({ count: 0, faults: [] });
});

it('those who lead already may post for thirty days more', () => {
  const raw = before();
  const leaders = raw.prepare('SELECT count(*) FROM leaders').pluck().get();
  const from = Math.floor(Date.now() / 1000) * 1000;
  step(raw);
  const due = raw.prepare('SELECT agreement_due_at FROM leaders').pluck().all() as number[];
  expect(due).toHaveLength(leaders as number);
  for (const at of due) {
    expect(at).toBeGreaterThanOrEqual(from + GRACE_MS);
    expect(at).toBeLessThanOrEqual(Date.now() + GRACE_MS);
  }
});
