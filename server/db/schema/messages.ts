import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** What someone wrote to everyone on a walk, kept beside the walk; the mails it went out in are notices. */
export const messages = sqliteTable('messages', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  byPersonId: integer('by_person_id'),
  fromName: text('from_name').notNull(),
  subject: text('subject').notNull(),
  text: text('text').notNull(),
  /** The first sending, ms. */
  at: integer('at').notNull(),
  audience: text('audience', { enum: ['everyone', 'confirmed'] }).notNull(),
  /** How many mails it went out in. */
  count: integer('count').notNull(),
});

/** A leader's private calendar address. The secret in it is derived from the salt; no row: turned off. */
export const calendarFeeds = sqliteTable('calendar_feeds', {
  personId: integer('person_id').primaryKey(),
  salt: text('salt').notNull(),
  tokenHash: text('token_hash').notNull(),
  madeAt: integer('made_at').notNull(),
});
