// Compiles server/ and seed/ into dist/, a file for a file, and what runs in browsers into one script each; types are checked elsewhere
// (npm run check). Every command runs it first: it does nothing where dist/ is made from just these sources, or where there are none, as
// in the image. `node .config/build.js roll` prints that script, for a service that runs from its sources.
import { createHash } from 'node:crypto';
import { chmodSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = dirname(dirname(fileURLToPath(import.meta.url)));
const DIST = join(ROOT, 'dist');
/** In dist/: the digest of what it was made from. Times would not do: a newer version may be unpacked with times from before the last start. */
const MADE_FROM = 'made-from';
/** What runs in browsers, and its folders: scripts bring all that they import. */
const SCRIPTS = ['roll', 'sign-out', 'roll-worker'];
const IN_BROWSERS = ['server/day/phone', 'server/day/worker'].map((name) => join(ROOT, name));
const MAY_NOT_WRITE = ['EACCES', 'EPERM', 'EROFS'];

function sources(folder) {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return sources(path);
    return path.endsWith('.ts') ? [path] : [];
  });
}

function digest(files) {
  const hash = createHash('sha256');
  for (const file of [fileURLToPath(import.meta.url), ...files]) hash.update(`${file.slice(ROOT.length)}\n`).update(readFileSync(file));
  return hash.digest('hex');
}

function isMadeFrom(wanted) {
  const file = join(DIST, MADE_FROM);
  return existsSync(file) && readFileSync(file, 'utf8') === wanted;
}

function sourcesOf(name) {
  return IN_BROWSERS.map((folder) => join(folder, `${name}.ts`)).filter((file) => existsSync(file));
}

/** @param name its file in one of the folders; a worker is no module everywhere, so none of them is one */
async function script(name) {
  const { build } = await import('esbuild');
  const made = await build({
    absWorkingDir: ROOT,
    entryPoints: sourcesOf(name),
    bundle: true,
    minify: true,
    write: false,
    format: 'iife',
    platform: 'browser',
    target: ['chrome109', 'firefox115', 'safari15.4'],
    logLevel: 'warning',
  });
  return made.outputFiles[0].text;
}

/** Into a folder of its own, which then takes the name: nobody starts on half of it. */
async function make(files, wanted) {
  const making = mkdtempSync(join(ROOT, 'dist.'));
  try {
    // mkdtemp shuts it to all others, and the service may run as another user.
    chmodSync(making, 0o777 & ~process.umask());
    const { build } = await import('esbuild');
    await build({
      absWorkingDir: ROOT,
      entryPoints: files.filter((file) => !IN_BROWSERS.some((folder) => file.startsWith(folder))),
      outdir: making,
      outbase: ROOT,
      format: 'esm',
      platform: 'node',
      target: 'node20',
      sourcemap: true,
      logLevel: 'warning',
    });
    mkdirSync(join(making, 'scripts'));
    for (const name of SCRIPTS.filter((one) => sourcesOf(one).length > 0))
      writeFileSync(join(making, 'scripts', `${name}.js`), await script(name));
    writeFileSync(join(making, MADE_FROM), wanted);
    putInPlace(making, wanted);
  } finally {
    rmSync(making, { recursive: true, force: true });
  }
}

/** Two commands may be at it at once: whichever is late finds it done. */
function putInPlace(making, wanted) {
  const old = `${making}.old`;
  for (let tries = 5; tries > 0 && !isMadeFrom(wanted); tries -= 1) {
    try {
      if (existsSync(DIST)) renameSync(DIST, old);
      renameSync(making, DIST);
    } catch (error) {
      if (tries === 1 || !['ENOENT', 'ENOTEMPTY', 'EEXIST'].includes(error.code)) throw error;
    } finally {
      rmSync(old, { recursive: true, force: true });
    }
  }
}

function sentence(error) {
  if (MAY_NOT_WRITE.includes(error.code))
    return `The program in ${ROOT} has to be compiled, and this user may not write there: as the user whom it belongs to, run npm run build once.`;
  if (error.code === 'ERR_MODULE_NOT_FOUND') return `The libraries are missing: run npm ci in ${ROOT} first.`;
  // esbuild has said already what it stumbled over.
  return Array.isArray(error.errors) ? 'The program does not compile.' : (error.stack ?? String(error));
}

async function bringUpToDate() {
  const folders = ['server', 'seed'].map((name) => join(ROOT, name)).filter((folder) => existsSync(folder));
  const files = folders.flatMap(sources).sort();
  if (files.length > 0) {
    const wanted = digest(files);
    if (!isMadeFrom(wanted)) await make(files, wanted);
  }
}

try {
  const [name] = process.argv.slice(2);
  if (name === undefined) await bringUpToDate();
  else process.stdout.write(await script(name));
} catch (error) {
  process.stderr.write(`${sentence(error)}\n`);
  process.exitCode = 1;
}
