import { expect, it } from 'vitest';
import { keyLines, layFolder, startAndOpenAll } from '../db/sealed-folder.js';
import { pause } from '../support/process.js';
import { run, start } from './run.js';

const KILLS = 6;
const CONTACTS = 6000;

/**
 * The moments are random, spread over the time that a whole run takes here: the first falls after the new key is in its file, so that
 * at least one is in the middle.
 */
it('a change of keys killed at random moments, again and again, loses nothing and is finished by the next run', async () => {
  const laid = layFolder(CONTACTS);
  const set = { DATA_DIR: laid.dataDir };
  const hits: string[] = [];
  for (let kill = 0; kill < KILLS; kill += 1) {
    const { child, ended } = start('rotate-keys', [], set);
    let isOver = false;
    void ended.then(() => {
      isOver = true;
    });
    while (kill === 0 && !isOver && keyLines(laid.dataDir).length < 2) await pause(1);
    await pause(Math.random() * (kill === 0 ? 100 : 500));
    child.kill('SIGKILL');
    const { signal } = await ended;
    const seen = startAndOpenAll(laid);
    expect(seen).toMatchObject({ count: 2 * CONTACTS, wrong: [], derived: laid.derived });
    hits.push(`${signal ?? 'finished'}, keys in use ${seen.keyIds.join(' and ')}`);
  }
  expect(hits[0]).toMatch(/^SIGKILL, keys in use 1/);
  const last = await run('rotate-keys', [], set);
  expect([hits, last.code, last.err]).toEqual([hits, 0, '']);
  const seen = startAndOpenAll(laid);
  expect(seen).toMatchObject({ count: 2 * CONTACTS, wrong: [], derived: laid.derived, log: [] });
  expect(seen.keyIds).toHaveLength(1);
  expect(keyLines(laid.dataDir)).toHaveLength(1);
}, 60_000);
