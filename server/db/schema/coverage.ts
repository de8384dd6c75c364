import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** What a coordinator saw of the coverage board when they last marked it as seen. */
export const boardVisits = sqliteTable('board_visits', {
  personId: integer('person_id').primaryKey(),
  seenAt: integer('seen_at').notNull(),
  /** The last month that was looked at, YYYY-MM. */
  untilMonth: text('until_month').notNull(),
  /** Ids of the gaps there were. */
  gaps: text('gaps', { mode: 'json' }).$type<string[]>().notNull(),
});
