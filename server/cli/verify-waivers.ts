import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Config, readConfig } from '../config.js';
import { type Db, wrap } from '../db/open.js';
import type { Sealer } from '../db/seal.js';
import { sha256 } from '../waivers/document.js';
import { openToVerify } from '../waivers/reading.js';
import { chainEnd, documentOfWaiver, placeOfHash, verifyChain } from '../waivers/verify.js';
import { END_NOTE } from './chain-words.js';
import { counted, letReaderLeave } from './command.js';
import { sentenceOf } from './sentence.js';

const USAGE =
  'Type npm run waivers:verify, and after it -- and a number for one document, or -- all and a folder for every one, or -- and the hash that you noted down.';
/** More are not read one by one. */
const MOST_FAULTS = 100;

function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

function warn(line: string): void {
  process.stderr.write(`${line}\n`);
}

/** Whether every signature is as it was signed. */
function verify(db: Db, sealer: Sealer, isComparing = false): boolean {
  // Both of one moment, whatever the service writes meanwhile.
  const { count, faults, end } = db.raw.transaction(() => ({ ...verifyChain(db.raw, sealer), end: chainEnd(db.raw) }))();
  if (faults.length === 0) {
    say(`${counted(count, 'signature')}: the chain is whole.${count > 0 ? ` It ends with ${end.hash}.` : ''}`);
    if (count > 0 && !isComparing) say(END_NOTE);
    return true;
  }
  say(`${counted(count, 'signature')}: the chain is broken.`);
  for (const { waiverId, sentence } of faults.slice(0, MOST_FAULTS))
    say(waiverId === null ? sentence : `Signature ${waiverId}: ${sentence}`);
  if (faults.length > MOST_FAULTS) say(`And ${faults.length - MOST_FAULTS} faults more.`);
  return false;
}

/** Whether the chain still holds the end that was noted down. */
function compare(db: Db, sealer: Sealer, noted: string): boolean {
  const isWhole = verify(db, sealer, true);
  const place = placeOfHash(db.raw, noted);
  say(
    place === null
      ? 'No signature here has the hash that you noted down: an older end was put back, or signatures were made anew.'
      : `The hash that you noted down is the one of signature number ${place} in the order they were kept.${isWhole ? ' Everything up to it is as it was then.' : ''}`,
  );
  return isWhole && place !== null;
}

/** One document, byte for byte, or a sentence on the error output. */
function print(db: Db, id: number): boolean {
  const document = documentOfWaiver(db.q, id);
  if (document === null) {
    warn(`There is no signature ${id}.`);
    return false;
  }
  process.stdout.write(document);
  return isAsSigned(db, id, document);
}

function writeAll(db: Db, folder: string): boolean {
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const ids = db.raw.prepare<[], { id: number }>('SELECT id FROM waivers ORDER BY id').all();
  const wrong = ids.filter(({ id }) => {
    const document = documentOfWaiver(db.q, id) ?? '';
    // They hold names: nobody else's to read.
    writeFileSync(join(folder, `waiver-${id}.txt`), document, { mode: 0o600 });
    return !isAsSigned(db, id, document);
  });
  say(`${ids.length} ${ids.length === 1 ? 'document is' : 'documents are'} in ${folder}.`);
  return wrong.length === 0;
}

function isAsSigned(db: Db, id: number, document: string): boolean {
  const row = db.raw.prepare<[number], { hash: string }>('SELECT document_sha256 AS hash FROM waivers WHERE id = ?').get(id);
  if (row?.hash === sha256(document)) return true;
  warn(`The document of signature ${id} is not what was signed: its SHA-256 does not fit.`);
  return false;
}

/** @throws where what was typed is none of these */
function run(db: Db, sealer: Sealer, typed: string[]): boolean {
  const [what, folder, ...rest] = typed;
  if (what === undefined) return verify(db, sealer);
  if (what === 'all' && folder === undefined) throw new Error('Name a folder after all: npm run waivers:verify -- all /media/disk/waivers');
  if (what === 'all' && rest.length === 0) return [writeAll(db, folder ?? ''), verify(db, sealer)].every(Boolean);
  if (/^\d{1,15}$/.test(what) && folder === undefined) return print(db, Number(what));
  if (/^[0-9a-f]{64}$/i.test(what) && folder === undefined) return compare(db, sealer, what.toLowerCase());
  throw new Error(USAGE);
}

letReaderLeave();
let config: Config | undefined;
try {
  config = readConfig(process.env);
  const { raw, sealer } = openToVerify(config, warn);
  const isWell = run(wrap(raw), sealer, process.argv.slice(2));
  raw.close();
  if (!isWell) process.exitCode = 1;
} catch (error) {
  warn(sentenceOf(error, config?.dataDir));
  process.exitCode = 1;
}
