import { and, asc, desc, eq, inArray, isNull, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { quizAttemptQuestions, quizAttempts, quizQuestions } from '../db/schema/index.js';
import { questionsInUse } from './bank-store.js';
import type { Chance } from './chance.js';
import { draw, isPassed } from './rules.js';

/** When somebody last passed the quiz, ms; null where they have not. */
export function quizPassedAt(q: Tx, personId: number): number | null {
  const passed = and(eq(quizAttempts.personId, personId), eq(quizAttempts.passed, true));
  return q.select({ at: quizAttempts.endedAt }).from(quizAttempts).where(passed).orderBy(desc(quizAttempts.id)).limit(1).get()?.at ?? null;
}

/** The same of several people, by their numbers, in one query; whoever has not passed is not among them. */
export function quizPassedAtOf(q: Tx, personIds: number[]): Map<number, number | null> {
  const rows = q
    .select({ personId: quizAttempts.personId, at: quizAttempts.endedAt })
    .from(quizAttempts)
    .where(and(inArray(quizAttempts.personId, personIds), eq(quizAttempts.passed, true)))
    .orderBy(asc(quizAttempts.id))
    .all();
  return new Map(rows.map(({ personId, at }) => [personId, at]));
}

/** How somebody is doing with the quiz. */
export interface QuizState {
  /** ms */
  passedAt: number | null;
  /** The number of the attempt that is under way. */
  open: number | null;
  /** The last attempt that ended. */
  last: { id: number; right: number; of: number; passed: boolean; endedAt: number } | null;
}

export function quizState(q: Tx, personId: number): QuizState {
  const own = eq(quizAttempts.personId, personId);
  const rows = q
    .select({
      id: quizAttempts.id,
      endedAt: quizAttempts.endedAt,
      right: quizAttempts.rightCount,
      passed: quizAttempts.passed,
      of: sql<number>`(SELECT count(*) FROM quiz_attempt_questions a WHERE a.attempt_id = ${quizAttempts.id})`,
    })
    .from(quizAttempts)
    .where(own)
    .orderBy(desc(quizAttempts.id))
    .limit(2)
    .all();
  const ended = rows.find((row) => row.endedAt !== null);
  return {
    passedAt: quizPassedAt(q, personId),
    open: rows.find((row) => row.endedAt === null)?.id ?? null,
    last: ended
      ? { id: ended.id, right: ended.right ?? 0, of: ended.of, passed: ended.passed === true, endedAt: ended.endedAt ?? 0 }
      : null,
  };
}

/** What a new attempt goes by. */
export interface Start {
  questions: number;
  passPercent: number;
  /** ms */
  now: number;
  chance: Chance;
}

/** The number of somebody's attempt that is under way, or of a new one; null where the bank has no question. */
export function startAttempt(tx: Tx, personId: number, { questions, passPercent, now, chance }: Start): number | null {
  const open = tx
    .select({ id: quizAttempts.id })
    .from(quizAttempts)
    .where(and(eq(quizAttempts.personId, personId), isNull(quizAttempts.endedAt)))
    .get();
  if (open) return open.id;
  const drawn = draw(questionsInUse(tx), questions, askedLast(tx, personId), chance);
  if (drawn.length === 0) return null;
  const { id } = tx.insert(quizAttempts).values({ personId, startedAt: now, passPercent }).returning({ id: quizAttempts.id }).get();
  tx.insert(quizAttemptQuestions)
    .values(drawn.map((one, place) => ({ attemptId: id, place: place + 1, ...one })))
    .run();
  return id;
}

/** The questions of somebody's last attempt. */
function askedLast(q: Tx, personId: number): Set<number> {
  const last = sql`(SELECT max(a.id) FROM quiz_attempts a WHERE a.person_id = ${personId})`;
  const rows = q.select({ id: quizAttemptQuestions.questionId }).from(quizAttemptQuestions).where(eq(quizAttemptQuestions.attemptId, last));
  return new Set(rows.all().map((row) => row.id));
}

/** A question as an attempt asks it: as it was when drawn, whatever became of it since. */
export interface Asked {
  place: number;
  page: string;
  question: string;
  answers: string[];
  rightAnswer: number;
  explanation: string;
  /** The answers in the order they are shown. */
  answerOrder: number[];
  /** The answer given; null until the attempt has ended. */
  chosen: number | null;
}

export interface Attempt {
  id: number;
  passPercent: number;
  /** ms; null where it is under way. */
  endedAt: number | null;
  rightCount: number | null;
  passed: boolean | null;
  asked: Asked[];
}

/** Somebody's own attempt; undefined where they have none of that number. */
export function ownAttempt(q: Tx, personId: number, id: number): Attempt | undefined {
  const row = q
    .select()
    .from(quizAttempts)
    .where(and(eq(quizAttempts.id, id), eq(quizAttempts.personId, personId)))
    .get();
  if (!row) return undefined;
  const asked = q
    .select({
      place: quizAttemptQuestions.place,
      page: quizQuestions.page,
      question: quizQuestions.question,
      answers: quizQuestions.answers,
      rightAnswer: quizQuestions.rightAnswer,
      explanation: quizQuestions.explanation,
      answerOrder: quizAttemptQuestions.answerOrder,
      chosen: quizAttemptQuestions.chosen,
    })
    .from(quizAttemptQuestions)
    .innerJoin(quizQuestions, eq(quizQuestions.id, quizAttemptQuestions.questionId))
    .where(eq(quizAttemptQuestions.attemptId, id))
    .orderBy(asc(quizAttemptQuestions.place))
    .all();
  return { ...row, asked };
}

/** Ends an attempt that is under way with an answer to each of its questions, by their places. In the transaction that has just read it. */
export function endAttempt(tx: Tx, attempt: Attempt, chosen: ReadonlyMap<number, number>, now: number): void {
  for (const { place } of attempt.asked)
    tx.update(quizAttemptQuestions)
      .set({ chosen: chosen.get(place) ?? null })
      .where(and(eq(quizAttemptQuestions.attemptId, attempt.id), eq(quizAttemptQuestions.place, place)))
      .run();
  const rightCount = attempt.asked.filter((one) => chosen.get(one.place) === one.rightAnswer).length;
  tx.update(quizAttempts)
    .set({ endedAt: now, rightCount, passed: isPassed(rightCount, attempt.asked.length, attempt.passPercent) })
    .where(eq(quizAttempts.id, attempt.id))
    .run();
}
