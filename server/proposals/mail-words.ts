import { isolated } from '../web/isolated.js';
import type { AskContent } from './content.js';
import { walkWords } from './words.js';

/** What the templates of the mail show that asks a leader for walks. Pure. @param link the private one, or what stands for it */
export function askModel({ by, note, walks }: AskContent, link: string, baseUrl: string) {
  return {
    byName: isolated(by.name),
    note,
    one: walks.length === 1,
    count: walkWords(walks.length),
    asked: walks.map(({ area, words, href }) => ({ area, words, link: `${baseUrl}${href}` })),
    askLink: link,
  };
}

/** "Could you lead a walk in Quarry Lakes, Sat, Dec 12?", "Could you lead 2 walks?" Pure. */
export function askSubject({ walks }: AskContent): string {
  const [first] = walks;
  return walks.length === 1 && first
    ? `Could you lead a walk in ${first.area}, ${first.day}?`
    : `Could you lead ${walkWords(walks.length)}?`;
}
