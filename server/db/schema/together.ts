import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** What leaders ask each other: to share a walk, or to lead it instead. */
export const walkOffers = sqliteTable('walk_offers', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  kind: text('kind', { enum: ['co-leader', 'hand-over'] }).notNull(),
  toPersonId: integer('to_person_id').notNull(),
  byPersonId: integer('by_person_id').notNull(),
  /** Whoever led it shares it from then on. */
  stays: integer('stays', { mode: 'boolean' }).notNull(),
  /** From who asks. */
  note: text('note').notNull(),
  /** From who was asked, with the answer. */
  words: text('words').notNull().default(''),
  tokenHash: text('token_hash').notNull(),
  state: text('state', { enum: ['open', 'accepted', 'declined', 'withdrawn', 'closed'] }).notNull(),
  createdAt: integer('created_at').notNull(),
  endedAt: integer('ended_at'),
});
