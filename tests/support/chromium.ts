import { spawnSync } from 'node:child_process';
import { accessSync, constants, readFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';

const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'];
const MISSING =
  'The browser tests need Chromium, and none is on the PATH. On Debian: apt-get install --no-install-recommends chromium. ' +
  'Elsewhere install Chromium or Chrome so that one of these can be run: ';

/** The browser that the tests drive. @throws with what to install, where there is none */
export function chromiumPath(): string {
  const path = findChromium(process.env.PATH ?? '');
  if (path === undefined) throw new Error(MISSING + NAMES.join(', '));
  return path;
}

/** The first browser we can drive on `path`, a list of folders as PATH is; Debian's own place is looked at in any case. */
export function findChromium(path: string): string | undefined {
  const folders = ['/usr/bin', ...path.split(delimiter).filter((folder) => folder !== '')];
  return NAMES.flatMap((name) => folders.map((folder) => join(folder, name))).find(isProgram);
}

function isProgram(file: string): boolean {
  try {
    accessSync(file, constants.X_OK);
    return true;
  } catch {
    return false; // not here: the next folder may have it
  }
}

/** Once before the browser tests: `npm ci && npm test` is all that a fresh machine should need. */
export default function setUp(): void {
  if (findChromium(process.env.PATH ?? '') === undefined && process.getuid?.() === 0 && isDebian()) install();
  chromiumPath();
}

/** Debian itself: elsewhere the package of that name may be a stand-in that can't be driven. */
function isDebian(): boolean {
  try {
    return /^ID=debian$/m.test(readFileSync('/etc/os-release', 'utf8'));
  } catch {
    return false; // no such file: not Debian
  }
}

function install(): void {
  process.stdout.write('Installing Chromium for the browser tests (apt-get, once).\n');
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  for (const args of [['update'], ['install', '-y', '--no-install-recommends', 'chromium']]) {
    const ran = spawnSync('apt-get', ['-qq', ...args], { env, stdio: ['ignore', 'ignore', 'inherit'] });
    if (ran.status !== 0) throw new Error(`apt-get ${args.join(' ')} failed; ${MISSING}${NAMES.join(', ')}`);
  }
}
