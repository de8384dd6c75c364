import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';

/** An attempt at the quiz, as the person themself may have it: answers in words. */
export interface OwnAttempt {
  /** ms */
  startedAt: number;
  endedAt: number | null;
  passPercent: number;
  /** How many were right; null where it is under way, as are `passed` and what was chosen. */
  right: number | null;
  passed: boolean | null;
  questions: { question: string; chosen: string | null }[];
}

/** What somebody did on the way to leading: handbook pages marked as read, and attempts at the quiz. */
export interface OwnLearning {
  /** By the name in the page's address; `at` in ms. */
  handbookRead: { page: string; at: number }[];
  /** The latest first. */
  quiz: OwnAttempt[];
}

/** All of it. One query. */
export function ownLearning(q: Tx, personId: number): OwnLearning {
  const row = q.get<{ handbookRead: string; quiz: string }>(sql`
    SELECT
      (SELECT json_group_array(json_object('page', r.page, 'at', r.at)) FROM handbook_reads r WHERE r.person_id = ${personId}) AS handbookRead,
      (SELECT json_group_array(json_object('startedAt', a.started_at, 'endedAt', a.ended_at, 'passPercent', a.pass_percent, 'right', a.right_count,
          'passed', json(CASE a.passed WHEN 1 THEN 'true' WHEN 0 THEN 'false' ELSE 'null' END),
          'questions', json((SELECT json_group_array(json_object('question', q.question, 'chosen', q.answers ->> ('$[' || x.chosen || ']')))
            FROM quiz_attempt_questions x JOIN quiz_questions q ON q.id = x.question_id WHERE x.attempt_id = a.id))) ORDER BY a.id DESC)
        FROM quiz_attempts a WHERE a.person_id = ${personId}) AS quiz`);
  return {
    handbookRead: JSON.parse(row.handbookRead) as OwnLearning['handbookRead'],
    quiz: JSON.parse(row.quiz) as OwnAttempt[],
  };
}
