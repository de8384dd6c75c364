import type Database from 'better-sqlite3';
import { SAMPLE_QUESTIONS } from './samples.js';

/**
 * Lays the questions that come with the program into the bank, as the step that makes its tables: every group has them from then on, a
 * new one from its first day. Written with that step's columns only.
 */
export function layDownQuestions(raw: Database.Database): void {
  const lay = raw.prepare('INSERT INTO quiz_questions (page, question, answers, right_answer, explanation) VALUES (?, ?, ?, 0, ?)');
  for (const { page, question, answers, explanation } of SAMPLE_QUESTIONS) lay.run(page, question, JSON.stringify(answers), explanation);
}
