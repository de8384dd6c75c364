import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from '../config.js';
import { TEXT_KINDS } from './kinds.js';

/** The texts a new group starts with, from views/texts/samples/, read once at start. Each says itself who must look at it before it is used. */
export const SAMPLES = TEXT_KINDS.map((kind) => ({
  kind,
  body: readFileSync(join(ROOT, 'views/texts/samples', `${kind}.md`), 'utf8').trim(),
}));
