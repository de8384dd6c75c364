import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** Paragraphs a leader keeps, to put into the walks they post. */
export const standingNotes = sqliteTable('standing_notes', {
  id: integer('id').primaryKey(),
  personId: integer('person_id').notNull(),
  title: text('title').notNull(),
  body: text('body').notNull(),
  /** The field of the walk form that takes it. */
  goesInto: text('goes_into', { enum: ['description', 'bring', 'directions'] }).notNull(),
  createdAt: integer('created_at').notNull(),
});

/** Walks that were made from one another; walks.seriesId names it. */
export const series = sqliteTable('series', {
  id: integer('id').primaryKey(),
  byPersonId: integer('by_person_id').notNull(),
  createdAt: integer('created_at').notNull(),
});
