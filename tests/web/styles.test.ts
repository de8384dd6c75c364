import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { ROOT } from '../../server/config.js';

const FOLDER = join(ROOT, 'views/assets/css');

it('the items of a list are styled in one file only: a second list of the same name would change the first', () => {
  const files = readdirSync(FOLDER).map((name) => {
    const text = readFileSync(join(FOLDER, name), 'utf8');
    return [...new Set([...text.matchAll(/^(\.[\w-]+) (?:>\s*)?li \{/gm)].map((found) => found[1] ?? ''))];
  });
  const all = files.flat();
  expect(all).toContain('.steps');
  expect(all.filter((list, index) => all.indexOf(list) !== index)).toEqual([]);
});
