import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { END_NOTE } from '../../server/cli/chain-words.js';
import { ROOT, readConfig } from '../../server/config.js';
import { openFolder } from '../../server/db/folder.js';
import { layDownSamples, textInForce } from '../../server/texts/store.js';
import { keepWaiver } from '../../server/waivers/store.js';
import { documentOfWaiver } from '../../server/waivers/verify.js';
import { NOON } from '../support/app.js';

let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'waymeet-verify-'));
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

/** What the compiled command says and how it ends. Needs `npm run build`. */
function command(...typed: string[]) {
  const env = { PATH: process.env.PATH, DATA_DIR: folder };
  const { status, stdout, stderr } = spawnSync(process.execPath, [join(ROOT, 'dist/server/cli/verify-waivers.js'), ...typed], { env });
  return { status, out: stdout.toString(), err: stderr.toString() };
}

function opened() {
  return openFolder(readConfig({ DATA_DIR: folder }), () => {});
}

/** A folder with three signatures, held as a running service holds it. */
function running() {
  const data = opened();
  data.db.write((tx) => {
    layDownSamples(tx, NOON);
    for (const name of ['Ana Ferreira', 'Bea Birch', 'Zoë Ångström']) {
      const person = { email: 'ana@walkers.example', forName: name, signedAs: 'self', signerName: name, signature: name } as const;
      const kind = { how: 'file', intent: 'I sign.', consent: '', proof: 'none', seenBy: 'Cora', signedAt: NOON } as const;
      keepWaiver(tx, data.sealer, { ...person, ...kind, text: textInForce(tx, 'waiver'), signUpId: null, memberId: null }, NOON);
    }
  });
  return data;
}

it('says that the chain is whole, while the service runs and when it does not', () => {
  const data = running();
  const { hash, waivers: count } = data.db.raw.prepare('SELECT hash, waivers FROM waiver_head').get() as { hash: string; waivers: number };
  const whole = { status: 0, out: `${count} signatures: the chain is whole. It ends with ${hash}.\n${END_NOTE}\n`, err: '' };
  expect(count).toBe(3);
  expect(command()).toEqual(whole);
  data.close();
  expect(command()).toEqual(whole);
  opened().close();
});

it('says nothing of an end where nobody has signed', () => {
  opened().close();
  expect(command()).toEqual({ status: 0, out: '0 signatures: the chain is whole.\n', err: '' });
});

it("a backup says how many signatures it holds and the last one's hash, once there are any", () => {
  const elsewhere = mkdtempSync(join(tmpdir(), 'waymeet-copies-'));
  const backup = (name: string) =>
    spawnSync(process.execPath, [join(ROOT, 'dist/server/cli/backup.js'), join(elsewhere, name)], {
      env: { PATH: process.env.PATH, DATA_DIR: folder },
    }).stdout.toString();
  opened().close();
  expect(backup('none.db')).not.toMatch(/signature/);
  const data = running();
  const hash = data.db.raw.prepare('SELECT hash FROM waiver_head').pluck().get() as string;
  expect(backup('three.db')).toContain(`\nIt holds 3 signatures; the last has the hash ${hash}.\n${END_NOTE}\n`);
  data.close();
  rmSync(elsewhere, { recursive: true });
});

it('tells whether an end that was noted down is still there', () => {
  const data = running();
  const noted = data.db.raw.prepare('SELECT hash FROM waivers WHERE id = 2').pluck().get() as string;
  expect(command(noted.toUpperCase())).toMatchObject({
    status: 0,
    out: expect.stringMatching(/signature number 2 .* Everything up to it is as it was then\.\n$/) as unknown,
  });
  expect(command('0'.repeat(64))).toMatchObject({
    status: 1,
    out: expect.stringMatching(
      /^3 signatures: the chain is whole\.[^\n]*\nNo signature here has the hash that you noted down: an older/,
    ) as unknown,
  });
  data.close();
});

it('names what is wrong, and ends with 1', () => {
  const data = running();
  data.db.raw.exec("DROP TRIGGER waivers_fixed; UPDATE waivers SET for_name = 'Eve' WHERE id = 2");
  const { status, out } = command();
  expect(status).toBe(1);
  expect(out).toMatch(/^3 signatures: the chain is broken\.\nSignature 2: What is kept of it is not what was signed/);
  expect(command('2')).toMatchObject({ status: 1, err: 'The document of signature 2 is not what was signed: its SHA-256 does not fit.\n' });
  data.close();
});

it('prints one document byte for byte, and writes them all', () => {
  const data = running();
  const document = documentOfWaiver(data.db.q, 3) ?? '';
  expect(document).toContain('Zoë Ångström');
  expect(command('3')).toEqual({ status: 0, out: document, err: '' });
  expect(command('4')).toEqual({ status: 1, out: '', err: 'There is no signature 4.\n' });
  const all = join(folder, 'documents');
  expect(command('all', all).status).toBe(0);
  expect(readdirSync(all).sort()).toEqual(['waiver-1.txt', 'waiver-2.txt', 'waiver-3.txt']);
  expect(readFileSync(join(all, 'waiver-3.txt'), 'utf8')).toBe(document);
  expect(statSync(join(all, 'waiver-3.txt')).mode & 0o077).toBe(0);
  data.close();
});

it('says how it is used', () => {
  running().close();
  const said = (...typed: string[]) => {
    const { status, out, err } = command(...typed);
    expect([status, out]).toEqual([1, '']);
    return err;
  };
  for (const typed of [['x'], ['1', '2'], ['all', 'one', 'two']]) expect(said(...typed)).toMatch(/^Type npm run waivers:verify/);
  expect(said('all')).toMatch(/^Name a folder after all/);
});

it('says where there is no database, an older one, or not its key; and makes nothing', () => {
  expect(command()).toMatchObject({ status: 1, err: expect.stringMatching(/^There is no waymeet\.db in /) as unknown });
  expect(readdirSync(folder)).toEqual([]);
  running().close();
  const file = join(folder, 'waymeet.db');
  const raw = new Database(file);
  raw.pragma('user_version = 2');
  expect(command().err).toMatch(/^This database is at version 2, older than this program's \d+\. Start the service once/);
  expect(raw.pragma('user_version', { simple: true })).toBe(2);
  raw.pragma('user_version = 99');
  expect(command().err).toMatch(/version 99, newer/);
  raw.close();
  rmSync(join(folder, 'seal.key'));
  expect(command()).toMatchObject({ status: 1, out: '' });
  expect(existsSync(join(folder, 'seal.key'))).toBe(false);
});
