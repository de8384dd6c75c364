import type { Tx } from '../server/db/open.js';
import { HANDBOOK } from '../server/handbook/pages.js';
import { markRead } from '../server/handbook/store.js';
import { endAttempt, ownAttempt, startAttempt } from '../server/quiz/store.js';
import { groupSettings } from '../server/settings/rules.js';
import type { Chance } from './chance.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const MOST_WRONG = 2;
/** Pages that the demo's walker has read. */
const WALKER_READ = 3;

/** Every leader has read the handbook and passed the quiz, each with an answer or two that was wrong; the walker is under way. */
export function layLearning(tx: Tx, leaderIds: number[], walkerId: number, { chance, begunAt }: { chance: Chance; begunAt: number }): void {
  const { quizQuestions: questions, quizPassPercent: passPercent } = groupSettings.parse({});
  const start = { questions, passPercent, now: begunAt, chance: (below: number) => chance.whole(0, below - 1) };
  for (const id of leaderIds) {
    for (const { slug } of HANDBOOK) markRead(tx, id, slug, begunAt);
    const attempt = ownAttempt(tx, id, startAttempt(tx, id, start) ?? 0);
    if (!attempt) return;
    const wrong = chance.whole(0, MOST_WRONG);
    const chosen = attempt.asked.map(
      (one) => [one.place, one.place <= wrong ? (one.rightAnswer + 1) % one.answers.length : one.rightAnswer] as const,
    );
    endAttempt(tx, attempt, new Map(chosen), begunAt + DAY_MS);
  }
  for (const { slug } of HANDBOOK.slice(0, WALKER_READ)) markRead(tx, walkerId, slug, begunAt + DAY_MS);
  startAttempt(tx, walkerId, start);
}
