import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from '../config.js';

const KINDS = ['rules', 'waiver', 'agreement', 'briefing', 'cautions'] as const;

/** The texts a new group starts with, from views/texts/samples/, read once at start. A lawyer must look at the waiver before it is used: it says so itself. */
export const SAMPLES = KINDS.map((kind) => ({ kind, body: readFileSync(join(ROOT, 'views/texts/samples', `${kind}.md`), 'utf8').trim() }));
