import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** One mail in which a coordinator asks a leader for walks. */
export const askLetters = sqliteTable('ask_letters', {
  id: integer('id').primaryKey(),
  toPersonId: integer('to_person_id').notNull(),
  byPersonId: integer('by_person_id').notNull(),
  note: text('note').notNull(),
  tokenHash: text('token_hash').notNull(),
  createdAt: integer('created_at').notNull(),
});

/** One walk that a leader is asked for. */
export const asks = sqliteTable('asks', {
  id: integer('id').primaryKey(),
  letterId: integer('letter_id').notNull(),
  toPersonId: integer('to_person_id').notNull(),
  areaId: integer('area_id').notNull(),
  /** The need's id. */
  need: text('need').notNull(),
  /** Its week's Monday; empty for one of a month. */
  week: text('week').notNull(),
  month: text('month').notNull(),
  dayKind: text('day_kind', { enum: ['weekday', 'saturday', 'sunday', 'any'] }).notNull(),
  /** The day it is suggested for. */
  date: text('date').notNull(),
  /** Null where any length will do. */
  leastMetres: integer('least_metres'),
  bestMetres: integer('best_metres'),
  mostMetres: integer('most_metres'),
  state: text('state', { enum: ['open', 'not this time', 'ended'] }).notNull(),
  /** When it was answered, or ended, ms. */
  answeredAt: integer('answered_at'),
});
