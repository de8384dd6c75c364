import { randomBytes } from 'node:crypto';
import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { Config } from '../config.js';
import { isThere, writeWhole } from './durable.js';
import { keyMark } from './seal.js';

export const KEY_FILE = 'seal.key';

/** The keys that the operator has given, in their order: the first is the one to use, further ones are being retired. */
export interface KeysAtHand {
  keys: Buffer[];
  from: 'SEAL_KEY' | typeof KEY_FILE;
}

/** The keys at hand, or null where there is none. Says so in the log where others can read the file. @throws where one can't be read */
export function readKeys(config: Config, log: (message: string) => void): KeysAtHand | null {
  if (config.sealKeys.length > 0) return { keys: config.sealKeys.map((digits) => Buffer.from(digits, 'hex')), from: 'SEAL_KEY' };
  const file = join(config.dataDir, KEY_FILE);
  if (!isThere(file)) return null;
  const seen = statSync(file);
  if (!seen.isFile()) throw new Error(`${file} is not a file: move it away and put ${KEY_FILE} back from your copy.`);
  if ((seen.mode & 0o077) !== 0) log(`Others on this machine can read ${file}: run chmod 600 ${file}`);
  return { keys: parseKeys(readFileSync(file, 'utf8')), from: KEY_FILE };
}

/** The keys at hand. @throws a sentence where there is none */
export function requireKeys(config: Config, log: (message: string) => void): KeysAtHand {
  const given = readKeys(config, log);
  if (given) return given;
  throw new Error(
    `The key that opens the emergency details is missing: put ${KEY_FILE} back into ${config.dataDir}, or set SEAL_KEY to the key that was used.`,
  );
}

function parseKeys(text: string): Buffer[] {
  const lines = text
    .split(/\r?\n/)
    .map((line) => line.trim())
    .filter((line) => line !== '');
  if (lines.length === 0) throw new Error(`${KEY_FILE} is empty. Put it back from your copy, or set SEAL_KEY to the key that was used.`);
  lines.forEach((line, index) => {
    // The line itself is a secret: only its number is said.
    if (!/^[0-9a-f]{64}$/i.test(line))
      throw new Error(`Line ${index + 1} of ${KEY_FILE} is not a key: it takes 64 hexadecimal digits. Put the file back from your copy.`);
  });
  return [...new Set(lines.map((line) => line.toLowerCase()))].map((line) => Buffer.from(line, 'hex'));
}

/** Writes the key file, the key to use first, before anything is sealed with it. */
export function writeKeys(dataDir: string, keys: readonly Buffer[]): void {
  writeWhole(join(dataDir, KEY_FILE), keys.map((key) => `${key.toString('hex')}\n`).join(''));
}

/** "the one here has the mark …": by it an operator tells the keys in a drawer apart. */
export function marksHere({ keys }: KeysAtHand): string {
  const marks = keys.map(keyMark);
  return marks.length > 1 ? `those here have the marks ${marks.join(' and ')}` : `the one here has the mark ${marks.join()}`;
}

export function newKey(): Buffer {
  return randomBytes(32);
}
