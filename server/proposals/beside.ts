import type { AreaCoverage } from '../coverage/coverage.js';
import type { Tx } from '../db/open.js';
import type { Sealer } from '../db/seal.js';
import { asksIn, openLettersTo } from './asks-store.js';
import { askToken } from './link.js';
import { standingAsks } from './season.js';
import { STANDING_WORDS, walkWords } from './words.js';

/** Who was asked for each need, and what came of it, for the board: "Bette Lindqvist (no answer yet)", by the need's id; and the needs for which somebody's answer is awaited. Two queries. @param months those of the coverage */
export function askedForNeeds(
  q: Tx,
  coverage: AreaCoverage[],
  months: string[],
): { words: ReadonlyMap<string, string>; waiting: ReadonlySet<string> } {
  const asks = standingAsks(q, asksIn(q, months[0] ?? '', months.at(-1) ?? ''), coverage);
  const words = new Map<string, string>();
  for (const { need, name, standing } of asks) {
    const one = `${name} (${STANDING_WORDS[standing]})`;
    const before = words.get(need);
    words.set(need, before === undefined ? one : `${before}, ${one}`);
  }
  return { words, waiting: new Set(asks.filter(({ standing }) => standing === 'open').map(({ need }) => need)) };
}

/** What a leader's own page says of what they are asked. One query. */
export function askedOfLeader(q: Tx, sealer: Sealer, personId: number, today: string) {
  return openLettersTo(q, personId, today).map(({ by, walks, ...key }) => ({
    by,
    walks: walks === 1 ? 'a walk' : walkWords(walks),
    href: `/asks/${askToken(sealer, key)}`,
  }));
}
