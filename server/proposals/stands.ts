import { monthsBetween } from '../calc/month.js';
import { coverageOf, termsNow } from '../coverage/coverage.js';
import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/compose.js';
import { asksIn, type LetterRow, letterById, monthsOfLetter } from './asks-store.js';
import type { AskContent } from './content.js';
import { type StandingAsk, standingAsks } from './season.js';

/** What a letter asks for, by day, and how each walk stands beside whatever else is asked for those months; seven queries at most. */
export function asksStanding(q: Tx, around: Parameters<typeof termsNow>[1], letter: Pick<LetterRow, 'id'>): StandingAsk[] {
  const months = monthsOfLetter(q, letter.id);
  if (!months) return [];
  const coverage = coverageOf(q, termsNow(q, around), monthsBetween(months.from, months.to));
  return standingAsks(q, asksIn(q, months.from, months.to), coverage)
    .filter(({ letterId }) => letterId === letter.id)
    .sort((a, b) => (a.date === b.date ? a.id - b.id : a.date < b.date ? -1 : 1));
}

/** Whether a mail still asks for anything that is wanted. */
export function askStands(q: Tx, { now, settings }: Pick<OweContext, 'now' | 'settings'>, { letter }: AskContent): boolean {
  const found = letterById(q, letter.id);
  // Numbers may come again in a database that was put back from a backup.
  if (!found?.approved || found.createdAt !== letter.madeAt) return false;
  return asksStanding(q, { now: () => now, settings: () => settings }, found).some(({ standing }) => standing === 'open');
}
