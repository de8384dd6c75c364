import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** A handbook page that someone marked as read. */
export const handbookReads = sqliteTable(
  'handbook_reads',
  {
    personId: integer('person_id').notNull(),
    /** The name in the page's address. */
    page: text('page').notNull(),
    at: integer('at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.personId, t.page] })],
);

/** A question of the leaders' quiz. An edit is a new row: what was asked stays as it was. */
export const quizQuestions = sqliteTable('quiz_questions', {
  id: integer('id').primaryKey(),
  page: text('page').notNull(),
  question: text('question').notNull(),
  answers: text('answers', { mode: 'json' }).$type<string[]>().notNull(),
  /** Which of the answers, counted from 0. */
  rightAnswer: integer('right_answer').notNull(),
  explanation: text('explanation').notNull(),
  replacesId: integer('replaces_id'),
  /** Null for those that came with the program. */
  createdAt: integer('created_at'),
  byPersonId: integer('by_person_id'),
  retiredAt: integer('retired_at'),
  retiredByPersonId: integer('retired_by_person_id'),
});

/** One try at the quiz, with the pass mark of its day. */
export const quizAttempts = sqliteTable('quiz_attempts', {
  id: integer('id').primaryKey(),
  personId: integer('person_id').notNull(),
  startedAt: integer('started_at').notNull(),
  passPercent: integer('pass_percent').notNull(),
  endedAt: integer('ended_at'),
  rightCount: integer('right_count'),
  passed: integer('passed', { mode: 'boolean' }),
});

/** What an attempt asks, and what was answered. */
export const quizAttemptQuestions = sqliteTable(
  'quiz_attempt_questions',
  {
    attemptId: integer('attempt_id').notNull(),
    place: integer('place').notNull(),
    questionId: integer('question_id').notNull(),
    answerOrder: text('answer_order', { mode: 'json' }).$type<number[]>().notNull(),
    chosen: integer('chosen'),
  },
  (t) => [primaryKey({ columns: [t.attemptId, t.place] })],
);
