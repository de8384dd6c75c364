// Makes sure that better-sqlite3 runs here, after `npm ci`. Its own install script would do, but where nothing can be downloaded it looks
// for Node's headers on the network, though they may lie beside node itself: here those are used.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';

const require = createRequire(import.meta.url);
const folder = dirname(require.resolve('better-sqlite3/package.json'));

function runs() {
  const script = "new (require('better-sqlite3'))(':memory:').close()";
  return spawnSync(process.execPath, ['-e', script], { cwd: dirname(folder), stdio: 'ignore' }).status === 0;
}

function attempt(command, args) {
  return spawnSync(command, args, { cwd: folder, stdio: ['ignore', 'ignore', 'inherit'], shell: false }).status === 0;
}

/** npm puts node-gyp and the packages' commands on the PATH of its scripts. */
function build() {
  const prefix = dirname(dirname(process.execPath));
  const headers = existsSync(join(prefix, 'include/node/node.h')) ? [`--nodedir=${prefix}`] : [];
  return attempt('node-gyp', ['rebuild', '--release', '--loglevel=error', ...headers]);
}

if (!runs() && !(attempt('prebuild-install', []) && runs()) && !build()) {
  process.stderr.write('better-sqlite3 could neither be downloaded nor compiled. Compiling needs Python 3, make and a C++ compiler.\n');
  process.exit(1);
}
