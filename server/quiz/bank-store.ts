import { and, asc, desc, eq, isNotNull, isNull, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { people, quizQuestions } from '../db/schema/index.js';
import type { Drawable } from './rules.js';

/** What a coordinator writes of a question. */
export interface WrittenQuestion {
  page: string;
  question: string;
  answers: string[];
  /** Which of the answers, counted from 0. */
  rightAnswer: number;
  explanation: string;
}

/** The questions that may be drawn. */
export function questionsInUse(q: Tx): Drawable[] {
  return q
    .select({ id: quizQuestions.id, page: quizQuestions.page, answers: quizQuestions.answers })
    .from(quizQuestions)
    .where(isNull(quizQuestions.retiredAt))
    .orderBy(asc(quizQuestions.page), asc(quizQuestions.id))
    .all();
}

/** How many questions may be drawn. */
export function bankSize(q: Tx): number {
  return q.select({ count: sql<number>`count(*)` }).from(quizQuestions).where(isNull(quizQuestions.retiredAt)).get()?.count ?? 0;
}

const ANSWERED = sql<number>`(SELECT count(a.chosen) FROM quiz_attempt_questions a WHERE a.question_id = ${quizQuestions.id})`;
const WRONG = sql<number>`(SELECT count(*) FROM quiz_attempt_questions a
  WHERE a.question_id = ${quizQuestions.id} AND a.chosen <> ${quizQuestions.rightAnswer})`;

/** The questions in use, with how often each was answered and how often wrongly. */
export function bank(q: Tx) {
  return q
    .select({ id: quizQuestions.id, page: quizQuestions.page, question: quizQuestions.question, answered: ANSWERED, wrong: WRONG })
    .from(quizQuestions)
    .where(isNull(quizQuestions.retiredAt))
    .orderBy(asc(quizQuestions.page), asc(quizQuestions.id))
    .all();
}

/** Questions taken out of use with nothing in their place, the latest first. */
export function retiredQuestions(q: Tx, most: number): { id: number; question: string }[] {
  return q
    .select({ id: quizQuestions.id, question: quizQuestions.question })
    .from(quizQuestions)
    .where(
      and(
        isNotNull(quizQuestions.retiredAt),
        sql`${quizQuestions.id} NOT IN (SELECT replaces_id FROM quiz_questions WHERE replaces_id IS NOT NULL)`,
      ),
    )
    .orderBy(desc(quizQuestions.retiredAt), desc(quizQuestions.id))
    .limit(most)
    .all();
}

/** A question as it is kept, with who wrote and who retired it. */
export interface KeptQuestion extends WrittenQuestion {
  id: number;
  /** ms; null for one that came with the program. */
  createdAt: number | null;
  byName: string | null;
  /** ms; null where it is in use. */
  retiredAt: number | null;
  retiredByName: string | null;
}

export function question(q: Tx, id: number): KeptQuestion | undefined {
  const retirer = alias(people, 'retirer');
  return q
    .select({
      id: quizQuestions.id,
      page: quizQuestions.page,
      question: quizQuestions.question,
      answers: quizQuestions.answers,
      rightAnswer: quizQuestions.rightAnswer,
      explanation: quizQuestions.explanation,
      createdAt: quizQuestions.createdAt,
      byName: people.name,
      retiredAt: quizQuestions.retiredAt,
      retiredByName: retirer.name,
    })
    .from(quizQuestions)
    .leftJoin(people, eq(people.id, quizQuestions.byPersonId))
    .leftJoin(retirer, eq(retirer.id, quizQuestions.retiredByPersonId))
    .where(eq(quizQuestions.id, id))
    .get();
}

/** The number of the newest question that took a question's place, by however many edits; its own where none did. */
export function newestOf(q: Tx, id: number): number {
  const row = q.get<{ id: number } | undefined>(sql`
    WITH RECURSIVE line (id) AS (SELECT ${id} UNION ALL SELECT n.id FROM line JOIN quiz_questions n ON n.replaces_id = line.id)
    SELECT max(id) AS id FROM line`);
  return row?.id ?? id;
}

/** Who does it, and when (ms). */
interface By {
  personId: number;
  now: number;
}

/** Keeps a new question, or the next wording of one, which retires it. In the transaction that has just found that one in use. */
export function keepQuestion(tx: Tx, written: WrittenQuestion, replacesId: number | null, { personId, now }: By): number {
  if (replacesId !== null) retire(tx, replacesId, { personId, now });
  const { id } = tx
    .insert(quizQuestions)
    .values({ ...written, replacesId, createdAt: now, byPersonId: personId })
    .returning({ id: quizQuestions.id })
    .get();
  writeDown(tx, { at: now, personId, action: 'wrote a quiz question', subject: `quiz:${id}` });
  return id;
}

/** Takes a question out of use for good. False where it was out of use already. */
export function retireQuestion(tx: Tx, id: number, by: By): boolean {
  if (retire(tx, id, by) === 0) return false;
  writeDown(tx, { at: by.now, personId: by.personId, action: 'retired a quiz question', subject: `quiz:${id}` });
  return true;
}

function retire(tx: Tx, id: number, { personId, now }: By): number {
  return tx
    .update(quizQuestions)
    .set({ retiredAt: now, retiredByPersonId: personId })
    .where(and(eq(quizQuestions.id, id), isNull(quizQuestions.retiredAt)))
    .run().changes;
}
