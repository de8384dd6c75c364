import { monthsBetween } from '../calc/month.js';
import { coverageOf, termsNow } from '../coverage/coverage.js';
import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import { asksOfLetter, type LetterRow, letterById } from './asks-store.js';
import type { AskContent } from './content.js';
import { type StandingAsk, standingAsks } from './season.js';

/** What a letter asks for, and how each walk stands; six queries at most. */
export function asksStanding(q: Tx, around: Parameters<typeof termsNow>[1], letter: Pick<LetterRow, 'id'>): StandingAsk[] {
  const asks = asksOfLetter(q, letter.id);
  if (asks.length === 0) return [];
  const months = asks.map(({ month }) => month).sort();
  return standingAsks(q, asks, coverageOf(q, termsNow(q, around), monthsBetween(months[0] ?? '', months.at(-1) ?? '')));
}

/** Whether a mail still asks for anything that is wanted. */
export function askStands(q: Tx, { now, settings }: Pick<OweContext, 'now' | 'settings'>, { letter }: AskContent): boolean {
  const found = letterById(q, letter.id);
  // Numbers may come again in a database that was put back from a backup.
  if (!found?.approved || found.createdAt !== letter.madeAt) return false;
  return asksStanding(q, { now: () => now, settings: () => settings }, found).some(({ standing }) => standing === 'open');
}
