import { spawnSync } from 'node:child_process';
import { copyFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { connect, type Db } from '../../server/db/open.js';
import { walkOffers } from '../../server/db/schema/index.js';
import { answerOffer } from '../../server/together/offers.js';
import { closeStage } from '../notices/stage.js';
import { openTroupe, type Troupe } from './troupe.js';

let troupe: Troupe;
beforeEach(async () => {
  troupe = await openTroupe();
  for (const name of ['ana', 'bo', 'cy']) troupe.signUp(`${name}@walkers.example`, name);
  await troupe.deliver();
  troupe.ask('otto', { stays: true });
  troupe.ask('coe');
});
afterEach(() => closeStage(troupe));

const TOUCHED = ['walks', 'walk_leaders', 'walk_changes', 'walk_offers', 'notices', 'audit_log'];

function dump(raw: Db['raw']): string {
  return JSON.stringify(TOUCHED.map((table) => raw.prepare(`SELECT * FROM ${table}`).all()));
}

/** Every write that accepting makes, as a trigger sees it. */
const STEPS = [
  ['UPDATE', 'walk_offers', 1],
  ['DELETE', 'walk_leaders', 1],
  ['INSERT', 'walk_leaders', 1],
  ['INSERT', 'walk_leaders', 2],
  ['UPDATE', 'walks', 1],
  ['INSERT', 'walk_changes', 1],
  ['INSERT', 'notices', 1],
  ['INSERT', 'notices', 2],
  ['INSERT', 'notices', 3],
  ['INSERT', 'audit_log', 1],
  ['UPDATE', 'walk_offers', 2],
  ['INSERT', 'notices', 4],
] as const;

describe('accepting a walk', () => {
  it.each(STEPS)('that breaks at an %s of %s, the %i. of them, is undone to the last row', async (what, table, nth) => {
    const { db, services } = troupe.site;
    const before = dump(db.raw);
    const [offer] = db.q.select().from(walkOffers).all();
    db.raw.exec(`CREATE TEMP TABLE steps (n INTEGER);
      CREATE TEMP TRIGGER breaks AFTER ${what} ON main.${table} BEGIN
        INSERT INTO steps VALUES (1);
        SELECT RAISE(ABORT, 'broken off') WHERE (SELECT count(*) FROM steps) = ${nth};
      END`);
    expect(() => answerOffer(services, offer?.id ?? 0, { accept: true, words: '' })).toThrow(/broken off/);
    expect(dump(db.raw)).toBe(before);
    expect(troupe.parts()).toBe('Lena leads');
    db.raw.exec('DROP TRIGGER temp.breaks');
    answerOffer(services, offer?.id ?? 0, { accept: true, words: '' });
    expect(troupe.parts()).toBe('Otto leads, Lena shares');
  });

  it.each(['inside', 'after'] as const)('by a process that is killed %s the transaction is done whole or not at all', (when) => {
    const { raw } = troupe.site.db;
    raw.pragma('wal_checkpoint(TRUNCATE)');
    const file = `${raw.name}-${when}`;
    copyFileSync(raw.name, file);
    const script = join(ROOT, 'tests/together/accept-and-die.ts');
    const { signal, stderr } = spawnSync(process.execPath, ['--import', 'tsx', script, file, when], { cwd: ROOT, encoding: 'utf8' });
    expect([stderr, signal]).toEqual(['', 'SIGKILL']);
    const left = connect(file);
    const parts = left.prepare('SELECT person_id, part FROM walk_leaders ORDER BY part DESC').all();
    const told = left.prepare("SELECT count(*) FROM notices WHERE kind = 'new-leader'").pluck().get();
    const states = left.prepare('SELECT state FROM walk_offers ORDER BY id').pluck().all();
    const same = dump(left) === dump(raw);
    left.close();
    const { lena, otto } = troupe.ids;
    const [leads, shares] = [
      { person_id: otto, part: 'leader' },
      { person_id: lena, part: 'co-leader' },
    ];
    if (when === 'inside') expect([same, told, states]).toEqual([true, 0, ['open', 'open']]);
    else expect([parts, told, states]).toEqual([[leads, shares], 3, ['accepted', 'closed']]);
  });
});
