import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { ROOT } from '../config.js';
import { readScript } from './scripts.js';

/** The files every page asks for, each under an address that changes with its content, so that browsers may keep them for good. */
export interface Assets {
  css: Asset;
  font: Asset;
  icon: Asset;
  /** The roll on a phone. */
  roll: Asset;
  /** Forgets the rolls that this browser keeps, as someone signs out. */
  signOut: Asset;
  /** Answers for the roll's page where there is no signal. Its address stays: by it a browser knows that a newer one has come. */
  rollWorker: Asset;
}

export interface Asset {
  href: string;
  type: string;
  body: () => Buffer;
}

export function readAssets(): Assets {
  const folder = join(ROOT, 'views/assets');
  const font = asset('overpass', 'woff2', 'font/woff2', readFileSync(fontFile()));
  const sheets = readdirSync(join(folder, 'css'))
    .filter((name) => name.endsWith('.css'))
    .sort();
  const css = sheets.map((name) => readFileSync(join(folder, 'css', name), 'utf8')).join('\n');
  return {
    css: asset('site', 'css', 'text/css; charset=utf-8', Buffer.from(squeeze(css).replaceAll('/assets/overpass.woff2', font.href))),
    font,
    icon: asset('icon', 'svg', 'image/svg+xml', readFileSync(join(folder, 'icon.svg'))),
    roll: script('roll'),
    signOut: script('sign-out'),
    rollWorker: { ...script('roll-worker'), href: '/roll-worker.js' },
  };
}

function fontFile(): string {
  return createRequire(import.meta.url).resolve('@fontsource-variable/overpass/files/overpass-latin-wght-normal.woff2');
}

function asset(name: string, ending: string, type: string, body: Buffer): Asset {
  const hash = createHash('sha256').update(body).digest('hex').slice(0, 10);
  return { href: `/assets/${name}-${hash}.${ending}`, type, body: () => body };
}

function script(name: string): Asset {
  const { hash, body } = readScript(name);
  return { href: `/assets/${name}-${hash}.js`, type: 'text/javascript; charset=utf-8', body };
}

/** Comments and blanks out; enough to keep a page light without a build step. No string in our CSS holds a run of blanks. */
function squeeze(css: string): string {
  return css
    .replace(/\/\*[\s\S]*?\*\//g, '')
    .replace(/\s+/g, ' ')
    .replace(/ ?([{};,]) ?/g, '$1')
    .replace(/: /g, ':')
    .replaceAll(';}', '}');
}
