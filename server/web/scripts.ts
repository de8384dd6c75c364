import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from '../config.js';

/** What runs in browsers: compiled with the service, or made when first asked for where the service runs from its sources. */
export interface Script {
  /** Changes with its content. */
  hash: string;
  body: () => Buffer;
}

const FROM_SOURCES = import.meta.url.endsWith('.ts');
/** Where what the scripts are made of lies: their own folders, and the ledger. */
const SOURCES = ['server/day/phone', 'server/day/worker', 'server/day'];

/** @param name "roll", "sign-out", "roll-worker": as .config/build.js knows them */
export function readScript(name: string): Script {
  if (FROM_SOURCES) return { hash: hashOf([name, ...sources()]), body: () => fromSources(name) };
  const body = readFileSync(join(ROOT, 'dist/scripts', `${name}.js`));
  return { hash: hashOf([body]), body: () => body };
}

const made = new Map<string, Buffer>();

function fromSources(name: string): Buffer {
  const body = made.get(name) ?? execFileSync(process.execPath, [join(ROOT, '.config/build.js'), name]);
  made.set(name, body);
  return body;
}

function sources(): Buffer[] {
  return SOURCES.flatMap((folder) =>
    readdirSync(join(ROOT, folder))
      .filter((file) => file.endsWith('.ts'))
      .sort()
      .map((file) => readFileSync(join(ROOT, folder, file))),
  );
}

function hashOf(parts: (string | Buffer)[]): string {
  const hash = createHash('sha256');
  for (const part of parts) hash.update(part);
  return hash.digest('hex').slice(0, 10);
}
