import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from '../config.js';
import { ownPageHtml } from '../texts/markdown.js';

const FOLDER = join(ROOT, 'views/handbook');
/** Reading pace of a grown-up, common practice. */
const WORDS_A_MINUTE = 200;

/** A page of the leaders' handbook, from a file of views/handbook/. */
export interface HandbookPage {
  /** The name in its address, and in `handbook_reads.page` and `quiz_questions.page`. */
  slug: string;
  title: string;
  /** Its first sentences, plain. */
  lead: string;
  /** Minutes it takes to read. */
  minutes: number;
  /** Safe HTML of what follows; figures that the group may change stand in braces: `{hold}`. */
  html: string;
}

/** The handbook in its order, read once at start. */
export const HANDBOOK: readonly HandbookPage[] = readdirSync(FOLDER)
  .map((name) => ({ name, number: Number(/^(\d+)-[a-z-]+\.md$/.exec(name)?.[1]) }))
  .filter(({ number }) => !Number.isNaN(number))
  .sort((a, b) => a.number - b.number)
  .map(({ name }) => readPage(name));

/** Minutes it takes to read all of it. */
export const HANDBOOK_MINUTES = HANDBOOK.reduce((sum, page) => sum + page.minutes, 0);

/** "4-the-day.md": its first line is the title, its first paragraph what the contents say of it. */
function readPage(name: string): HandbookPage {
  const text = readFileSync(join(FOLDER, name), 'utf8').trim();
  const [first = '', lead = '', ...rest] = text.split('\n\n');
  return {
    slug: name.replace(/^\d+-|\.md$/g, ''),
    title: first.replace(/^# /, ''),
    lead,
    minutes: Math.ceil(text.split(/\s+/).length / WORDS_A_MINUTE),
    html: ownPageHtml(rest.join('\n\n')),
  };
}

export function handbookPage(slug: string): HandbookPage | undefined {
  return HANDBOOK.find((page) => page.slug === slug);
}
