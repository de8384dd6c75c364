import { chmodSync, mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openFolder } from '../../server/db/folder.js';
import { connect } from '../../server/db/open.js';
import { keyMark } from '../../server/db/seal.js';
import { KEYS, layFolder, startAndOpenAll, writeKeyFile } from './sealed-folder.js';

const mark = (digits: string) => keyMark(Buffer.from(digits, 'hex'));

describe('the first start of a version that knows keys by number', () => {
  it('goes on with the one key: contacts open, every link is as it was, and the old word is gone', () => {
    const laid = layFolder();
    const seen = startAndOpenAll(laid);
    expect(seen).toMatchObject({ count: 40, wrong: [], keyIds: [1], derived: laid.derived, log: [] });
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    const settings = raw.prepare("SELECT key, value FROM settings WHERE key LIKE 'seal%' ORDER BY key").all() as { value: string }[];
    raw.close();
    expect(settings).toMatchObject([
      { key: 'sealDerivation' },
      { key: 'sealKeys', value: `{"keys":[{"id":1,"mark":"${mark(KEYS.old)}"}],"retired":[]}` },
    ]);
    expect(startAndOpenAll(laid)).toEqual(seen);
  });

  it('refuses another key than the one that the word was sealed with', () => {
    const laid = layFolder();
    expect(() => startAndOpenAll(laid, { SEAL_KEY: KEYS.other })).toThrow(
      `does not open this database; the one here has the mark ${mark(KEYS.other)}. Put the right seal.key back`,
    );
  });

  it('takes what secrets are derived from from the database, not from the key', () => {
    const laid = layFolder();
    startAndOpenAll(laid);
    const raw = connect(join(laid.dataDir, 'waymeet.db'));
    raw.prepare("UPDATE settings SET value = '\"AQEA\"' WHERE key = 'sealDerivation'").run();
    raw.close();
    expect(() => startAndOpenAll(laid)).toThrow(/does not open: the database was changed from outside/);
  });
});

describe('a start', () => {
  it('says which key it wants, and never prints one', () => {
    const laid = layFolder();
    startAndOpenAll(laid);
    const refused = () => startAndOpenAll(laid, { SEAL_KEY: KEYS.other });
    expect(refused).toThrow(`wants the one with the mark ${mark(KEYS.old)}; the one here has the mark ${mark(KEYS.other)}. Put`);
    expect(() => startAndOpenAll(laid, { SEAL_KEY: `${KEYS.new},${KEYS.other}` })).toThrow(
      `those here have the marks ${mark(KEYS.new)} and ${mark(KEYS.other)}`,
    );
    expect(refused).not.toThrow(KEYS.other);
  });

  it.each([
    ['empty', '\n', 'seal.key is empty'],
    ['cut short', `${KEYS.old.slice(0, 40)}\n`, 'Line 1 of seal.key is not a key'],
    ['not hexadecimal', `${KEYS.old}\n${'x'.repeat(64)}\n`, 'Line 2 of seal.key is not a key'],
  ])('refuses a key file that is %s', (_, text, sentence) => {
    const laid = layFolder();
    writeFileSync(join(laid.dataDir, 'seal.key'), text);
    expect(() => startAndOpenAll(laid)).toThrow(sentence);
    expect(() => startAndOpenAll(laid)).not.toThrow(KEYS.old.slice(0, 40));
  });

  it('refuses a folder in the place of the key file', () => {
    const laid = layFolder();
    rmSync(join(laid.dataDir, 'seal.key'));
    mkdirSync(join(laid.dataDir, 'seal.key'));
    expect(() => startAndOpenAll(laid)).toThrow(/seal\.key is not a file: move it away and put seal\.key back/);
  });

  it('reads the file however it was typed', () => {
    const laid = layFolder();
    writeFileSync(join(laid.dataDir, 'seal.key'), `\r\n ${KEYS.old.toUpperCase()} \r\n`);
    expect(startAndOpenAll(laid).wrong).toEqual([]);
  });

  it('says in the log, and goes on, where others can read the key file', () => {
    const laid = layFolder();
    chmodSync(join(laid.dataDir, 'seal.key'), 0o640);
    expect(startAndOpenAll(laid).log).toEqual([expect.stringMatching(/^Others on this machine can read .*seal\.key: run chmod 600/)]);
  });

  it('refuses a SEAL_KEY whose new key the database does not know, and says what to run', () => {
    const laid = layFolder();
    for (let start = 0; start < 2; start += 1)
      expect(() => startAndOpenAll(laid, { SEAL_KEY: `${KEYS.new},${KEYS.old}` })).toThrow(/run npm run keys:rotate first/);
    expect(startAndOpenAll(laid, { SEAL_KEY: KEYS.old }).wrong).toEqual([]);
  });

  it('goes on with a key file that a change of keys got no further than', () => {
    const laid = layFolder();
    writeKeyFile(laid.dataDir, [KEYS.new, KEYS.old]);
    const seen = startAndOpenAll(laid);
    expect(seen).toMatchObject({ wrong: [], keyIds: [1], derived: laid.derived });
    expect(seen.log).toEqual(['A change of keys is not finished: stop the service and run npm run keys:rotate.']);
  });

  it('says that a key is of no use here, and goes on', () => {
    const laid = layFolder();
    writeKeyFile(laid.dataDir, [KEYS.old, KEYS.other]);
    expect(startAndOpenAll(laid).log).toEqual([expect.stringMatching(/^seal\.key has a key that nothing here is sealed with/)]);
  });

  it('lets go of the folder where it refuses', () => {
    const laid = layFolder();
    expect(() => startAndOpenAll(laid, { SEAL_KEY: KEYS.other })).toThrow();
    openFolder(laid.config(), () => {}).close();
  });
});
