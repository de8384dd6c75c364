import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { Views } from '../../server/web/render.js';
import { passingFolder } from '../support/folder.js';

it('refuses at the start a template that is broken, and names it', () => {
  const folder = passingFolder();
  writeFileSync(join(folder, 'whole.hbs'), '<p>{{#if x}}a{{/if}}</p>');
  expect(new Views(folder).names()).toEqual(['whole']);
  writeFileSync(join(folder, 'broken.hbs'), '<p>{{#if x}}a{{/each}}</p>');
  expect(() => new Views(folder)).toThrow("views/broken.hbs can't be read: ");
});
