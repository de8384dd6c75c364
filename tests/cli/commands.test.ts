import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openFolder } from '../../server/db/folder.js';
import { connect, connectToRead } from '../../server/db/open.js';
import { KEYS, keyLines, layFolder, startAndOpenAll } from '../db/sealed-folder.js';
import { passingFolder } from '../support/folder.js';
import { pause } from '../support/process.js';
import { run, start } from './run.js';

describe('what the operator types', () => {
  it('backs up, changes the key, and restores', async () => {
    const laid = layFolder();
    const set = { DATA_DIR: laid.dataDir };
    const folder = passingFolder();
    const [before, after] = [join(folder, 'before.db'), join(folder, 'after.db')];

    const first = await run('backup', [before], set);
    expect(first).toMatchObject({ code: 0, err: '' });
    expect(first.out).toMatch(/^Wrote .*before\.db: 0\.\d MB, version \d+, \d+ walks, \d+ sign-ups\. It is whole\.\nIt opens with the key/);
    expect(statSync(before).mode & 0o777).toBe(0o600);

    const changed = await run('rotate-keys', [], set);
    expect(changed).toMatchObject({ code: 0, err: '' });
    expect(changed.out).toMatch(/^Sealed again: 40 values\. .*\nThe old key is retired.*\nBackups made before open only with the old key/);

    expect((await run('backup', [after], set)).code).toBe(0);
    const restored = await run('restore', [after], set);
    expect(restored).toMatchObject({ code: 0, err: '' });
    expect(restored.out).toMatch(/^Restored .*after\.db: version \d+.* sign in again\.\nWhat was there before is in .*before-restore-/);
    const refused = await run('restore', [before], set);
    expect(refused).toMatchObject({ code: 1, out: '' });
    expect(refused.err).toMatch(/^Nothing was restored\. .*sealed with another key[^\n]*\n$/);
    expect(startAndOpenAll(laid)).toMatchObject({ count: 40, wrong: [], derived: laid.derived });

    const said = [first, changed, restored, refused].map(({ out, err }) => out + err).join('');
    for (const key of [KEYS.old, ...keyLines(laid.dataDir)]) expect(said).not.toContain(key);
  });

  it('hears on a new machine that those erased since are back', async () => {
    const laid = layFolder(3);
    const file = join(passingFolder(), 'a.db');
    const made = await run('backup', [file], { DATA_DIR: laid.dataDir });
    expect(made.out).toMatch(
      /keep a copy of seal\.key \(or SEAL_KEY\), and of erased\.list beside it, in another place than this file\.\n/,
    );
    const DATA_DIR = passingFolder();
    const restored = await run('restore', [file], { DATA_DIR, SEAL_KEY: KEYS.old });
    expect(restored).toMatchObject({ code: 0, err: '' });
    expect(restored.out).toContain(
      `If anybody was erased after this backup was made: put your copy of erased.list into ${DATA_DIR} and restore again.\n`,
    );
  });

  it('hears in one sentence what is wrong', async () => {
    const DATA_DIR = passingFolder();
    const wrong = await Promise.all([
      run('backup', [], { DATA_DIR }),
      run('backup', ['--help'], { DATA_DIR }),
      run('backup', [join(DATA_DIR, 'a.db')], { DATA_DIR }),
      run('restore', ['a.db', 'b.db'], { DATA_DIR }),
      run('restore', ['a.db'], { DATA_DIR, SEAL_KEY: 'short' }),
      run('rotate-keys', ['now'], { DATA_DIR }),
      run('rotate-keys', [], { DATA_DIR }),
    ]);
    expect(wrong.map(({ code, out }) => [code, out])).toEqual(wrong.map(() => [1, '']));
    expect(wrong.map(({ err }) => err)).toEqual([
      expect.stringMatching(/^No backup was made\. Name one file: npm run backup -- \S+\n$/),
      expect.stringMatching(/^No backup was made\. Name one file/),
      expect.stringMatching(/^No backup was made\. There is no Waymeet database in .*\n$/),
      expect.stringMatching(/^Nothing was restored\. Name one file/),
      expect.stringMatching(/SEAL_KEY: 64 hexadecimal digits/),
      expect.stringMatching(/^The change of keys is not complete\. It takes nothing more: npm run keys:rotate\n$/),
      expect.stringMatching(/^The change of keys is not complete\. There is no Waymeet database in .*\n$/),
    ]);
    expect(existsSync(join(DATA_DIR, 'waymeet.lock'))).toBe(false);
  });

  it('ends with 1 where a value does not open, and says which', async () => {
    const laid = layFolder(3);
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    raw.exec('UPDATE kept_contacts SET sealed = zeroblob(50) WHERE id = 2');
    raw.close();
    const ran = await run('rotate-keys', [], { DATA_DIR: laid.dataDir });
    expect(ran.code).toBe(1);
    expect(ran.err).toMatch(
      /^The change of keys is not complete\. The old key is kept: 1 value could not be opened .*\(kept_contacts 2\)[^\n]*\n$/,
    );
  });
});

it('a backup made while the service writes is of one moment', async () => {
  const laid = layFolder(1500);
  const { db, close } = openFolder(laid.config(), () => {});
  const file = join(passingFolder(), 'a.db');
  const write = db.raw.prepare("INSERT INTO audit_log (at, person_id, action, subject, detail) VALUES (?, NULL, 'pair', 'x', '{}')");
  const { ended } = start('backup', [file], { DATA_DIR: laid.dataDir });
  let ran: Awaited<typeof ended> | undefined;
  void ended.then((end) => {
    ran = end;
  });
  let pairs = 0;
  while (!ran) {
    pairs += 1;
    db.write(() => [write.run(pairs), write.run(pairs)]);
    await pause(1);
  }
  close();
  expect(ran).toMatchObject({ code: 0, err: '' });
  const copy = connectToRead(file);
  const rows = copy.prepare("SELECT at, count(*) AS times FROM audit_log WHERE action = 'pair' GROUP BY at").all() as { times: number }[];
  copy.close();
  expect(rows.length).toBeGreaterThan(0);
  expect(rows.length).toBeLessThan(pairs);
  expect(rows.filter(({ times }) => times !== 2)).toEqual([]);
});
