import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  copyFileSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';
import { passingFolder } from '../support/folder.js';

const NOBODY = 65_534;

let folder: string;
const at = (path: string) => join(folder, path);
const built = () => readFileSync(at('dist/server/one.js'), 'utf8');

/** Runs the step that every command runs first; as root or as a user without rights. */
function build(uid?: number) {
  const { status, stderr } = spawnSync(process.execPath, [at('.config/build.js')], { cwd: '/', ...(uid === undefined ? {} : { uid }) });
  return { status, err: stderr.toString() };
}

beforeEach(() => {
  folder = passingFolder();
  for (const name of ['.config', 'server', 'seed']) mkdirSync(at(name));
  writeFileSync(at('package.json'), '{ "type": "module" }');
  copyFileSync(join(ROOT, '.config/build.js'), at('.config/build.js'));
  writeFileSync(at('server/one.ts'), 'export const one: number = 1;\n');
  writeFileSync(at('seed/two.ts'), 'export const two = 2;\n');
  symlinkSync(join(ROOT, 'node_modules'), at('node_modules'));
});

describe('compiling before a command', () => {
  it('makes dist/ readable for others, leaving nothing beside it, and the second time does nothing', () => {
    expect(build()).toEqual({ status: 0, err: '' });
    expect(built()).toContain('const one = 1');
    expect(statSync(at('dist')).mode & 0o055).toBe(0o055 & ~process.umask());
    expect(readdirSync(folder).filter((name) => name.startsWith('dist'))).toEqual(['dist']);
    const before = statSync(at('dist')).ino;
    expect(build()).toEqual({ status: 0, err: '' });
    expect(statSync(at('dist')).ino).toBe(before);
  });

  it('sees a changed source by what is in it, however old its time, and forgets what is gone', () => {
    build();
    writeFileSync(at('server/one.ts'), 'export const one: number = 11;\n');
    utimesSync(at('server/one.ts'), 0, 0);
    expect(build().status).toBe(0);
    expect(built()).toContain('const one = 11');
    rmSync(at('seed/two.ts'));
    expect(build().status).toBe(0);
    expect(readdirSync(at('dist'))).not.toContain('seed');
  });

  it('does nothing where there are no sources, as in the image', () => {
    for (const name of ['server', 'seed', 'node_modules']) rmSync(at(name), { recursive: true });
    expect(build()).toEqual({ status: 0, err: '' });
    expect(readdirSync(folder).filter((name) => name.startsWith('dist'))).toEqual([]);
  });

  it.runIf(process.getuid?.() === 0)(
    'needs no right to write where dist/ is as it should be, and says one sentence where it is not',
    () => {
      chmodSync(folder, 0o755);
      build();
      expect(build(NOBODY)).toEqual({ status: 0, err: '' });
      writeFileSync(at('server/one.ts'), 'export const one: number = 11;\n');
      const refused = build(NOBODY);
      expect(refused).toMatchObject({
        status: 1,
        err: expect.stringMatching(/^The program in .* has to be compiled, and this user may not/),
      });
      expect(refused.err.trim().split('\n')).toHaveLength(1);
      expect(built()).toContain('const one = 1;');
    },
  );

  it('says where the libraries are missing, and keeps what was there where a source does not compile', () => {
    build();
    writeFileSync(at('server/one.ts'), 'export const one: number = ;\n');
    expect(build()).toMatchObject({ status: 1, err: expect.stringMatching(/one\.ts[\s\S]*The program does not compile\.\n$/) });
    expect(built()).toContain('const one = 1;');
    rmSync(at('node_modules'));
    expect(build()).toMatchObject({ status: 1, err: expect.stringMatching(/^The libraries are missing: run npm ci in/) });
    expect(readdirSync(folder).filter((name) => name.startsWith('dist'))).toEqual(['dist']);
  });
});
