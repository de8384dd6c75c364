import { chmodSync, chownSync, mkdirSync, statSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { sentenceOf } from '../../server/cli/sentence.js';
import { layFolder } from '../db/sealed-folder.js';
import { passingFolder } from '../support/folder.js';
import { type Command, start } from './run.js';

const NOBODY = 65_534;
const OTHER = 65_533;
const AS_THE_SERVICE = /can't be read or written by this user: run it as the user that the service runs as, and see/;

/** How a command ends and what it says, as another user where one is named. */
const said = async (command: Command, args: string[], set: Record<string, string>, uid?: number) => {
  const { code, err } = await start(command, args, set, uid).ended;
  return { code, err };
};

describe('what the operator reads', () => {
  it.runIf(process.getuid?.() === 0).each([
    ['may not look into the folder', 0o700],
    ['may only read it', 0o755],
  ])('where this user %s: as whom to run it', async (_, mode) => {
    const laid = layFolder(1);
    for (const name of ['waymeet.db', 'seal.key']) {
      chownSync(join(laid.dataDir, name), NOBODY, NOBODY);
      chmodSync(join(laid.dataDir, name), mode & 0o644);
    }
    chownSync(laid.dataDir, NOBODY, NOBODY);
    chmodSync(laid.dataDir, mode);
    const backups = passingFolder();
    chmodSync(backups, 0o777);
    writeFileSync(join(backups, 'old.db'), 'old', { mode: 0o644 });
    const set = { DATA_DIR: laid.dataDir, PORT: '0' };
    const ran = await Promise.all([
      said('../main', [], set, OTHER),
      said('backup', [join(backups, 'new.db')], set, OTHER),
      said('restore', [join(backups, 'old.db')], set, OTHER),
      said('rotate-keys', [], set, OTHER),
    ]);
    for (const { code, err } of ran) {
      expect([code, err]).toEqual([1, expect.stringMatching(AS_THE_SERVICE)]);
      expect(err).toContain(laid.dataDir);
    }
  });

  it.runIf(process.getuid?.() === 0)('where a backup may not be written there: that, and not as whom to run it', async () => {
    const laid = layFolder(1);
    for (const name of ['waymeet.db', 'seal.key', '']) chownSync(join(laid.dataDir, name), NOBODY, NOBODY);
    const backups = passingFolder();
    chmodSync(backups, 0o755);
    const { code, err } = await said('backup', [join(backups, 'a.db')], { DATA_DIR: laid.dataDir }, NOBODY);
    expect([code, err]).toEqual([
      1,
      `No backup was made. This user may not read or write ${backups}/a.db.making: change whose it is, or choose another place.\n`,
    ]);
  });

  it('where the database is damaged: to put a backup back', async () => {
    const laid = layFolder(1);
    writeFileSync(join(laid.dataDir, 'waymeet.db'), 'no database at all, but long enough to look like one '.repeat(100));
    const set = { DATA_DIR: laid.dataDir, PORT: '0' };
    const ran = [
      await said('../main', [], set),
      await said('backup', [join(passingFolder(), 'a.db')], set),
      await said('rotate-keys', [], set),
    ];
    for (const { code, err } of ran)
      expect([code, err]).toEqual([
        1,
        expect.stringMatching(
          /The database in \S+ is damaged \(.*\): stop the service and put your newest backup back with npm run restore -- FILE\.\n$/,
        ),
      ]);
  });

  it('where the port is taken: which setting', async () => {
    const laid = layFolder(1);
    const server = createServer();
    const port = await new Promise<number>((resolve) => {
      server.listen(0, '127.0.0.1', () => {
        const address = server.address();
        resolve(typeof address === 'object' && address ? address.port : 0);
      });
    });
    const ran = await said('../main', [], { DATA_DIR: laid.dataDir, PORT: String(port), LOG_LEVEL: 'silent' });
    server.close();
    expect(ran).toEqual({
      code: 1,
      err: `Waymeet does not start. Port ${port} is taken: stop what listens there, or set PORT to another.\n`,
    });
  });

  it('where the folder lies under a file, or the list of those erased can not be read', async () => {
    const folder = passingFolder();
    writeFileSync(join(folder, 'file'), '');
    const under = await said('backup', [join(folder, 'a.db')], { DATA_DIR: join(folder, 'file', 'data') });
    expect([under.code, under.err]).toEqual([1, expect.stringMatching(/^No backup was made\. .*needed: choose another name\.\n$/)]);
    const laid = layFolder(1);
    mkdirSync(join(laid.dataDir, 'erased.list'));
    const list = await said('../main', [], { DATA_DIR: laid.dataDir, PORT: '0' });
    expect([list.code, list.err]).toEqual([1, expect.stringMatching(/^Waymeet does not start\. .*\n$/)]);
  });

  it('where a file belongs to another user: as whom to run it, and whose it must be', () => {
    const fault = Object.assign(new Error('EACCES'), { code: 'EACCES', syscall: 'open', path: '/srv/walks/erased.list' });
    expect(sentenceOf(fault, '/srv/walks')).toMatch(/^\/srv\/walks\/erased\.list can't be read .* and see that it belongs to that user\.$/);
  });

  it('where the disk is full: whose', () => {
    const fault = Object.assign(new Error('ENOSPC'), {
      code: 'ENOSPC',
      syscall: 'copyfile',
      path: '/media/a.db',
      dest: '/srv/walks/waymeet.db',
    });
    expect(sentenceOf(fault, '/srv/walks')).toBe('The disk of /srv/walks is full: make room there, and try again.');
  });

  it('nothing where whoever read along has left: the work is done all the same', async () => {
    const laid = layFolder(1);
    const file = join(passingFolder(), 'a.db');
    const { child, ended } = start('backup', [file], { DATA_DIR: laid.dataDir });
    child.stdout?.destroy();
    expect(await ended).toMatchObject({ code: 0, err: '' });
    expect(statSync(file).size).toBeGreaterThan(0);
  });
});
