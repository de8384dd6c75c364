import { quizQuestions } from '../../server/db/schema/index.js';
import { startAttempt } from '../../server/quiz/store.js';
import type { TestSite } from './app.js';

/** Somebody's attempt at the quiz, under way, with the group's figures; every number drawn is the last there is. */
export function layAttempt({ db, services, clock }: TestSite, personId: number): number {
  const { quizQuestions: questions, quizPassPercent: passPercent } = services.settings();
  const start = { questions, passPercent, now: clock.now, chance: (below: number) => below - 1 };
  return db.write((tx) => startAttempt(tx, personId, start)) ?? 0;
}

/** A bank of so many questions on one page and no others: the right answer of each is "right 1" and so on. */
export function layBank({ db }: TestSite, size: number, page = 'the-day'): number[] {
  return db.write((tx) => {
    tx.update(quizQuestions).set({ retiredAt: 1 }).run();
    return Array.from({ length: size }, (_, index) => {
      const answers = [`right ${index + 1}`, `wrong ${index + 1}`, `other ${index + 1}`];
      const row = { page, question: `Question ${index + 1}?`, answers, rightAnswer: 0, explanation: `Since ${index + 1}.`, createdAt: 1 };
      return tx.insert(quizQuestions).values(row).returning({ id: quizQuestions.id }).get().id;
    });
  });
}
