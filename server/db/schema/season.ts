import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** A week of the season plan that someone set, instead of what is worked out. */
export const planWeeks = sqliteTable(
  'plan_weeks',
  {
    /** The first day of the event that it was set for. */
    eventDay: text('event_day').notNull(),
    /** The Monday that it begins on. */
    weekFrom: text('week_from').notNull(),
    weekdayMetres: text('weekday_metres', { mode: 'json' }).$type<number[]>().notNull(),
    saturdayMetres: integer('saturday_metres'),
    sundayMetres: integer('sunday_metres'),
    changedAt: integer('changed_at').notNull(),
    changedBy: integer('changed_by'),
  },
  (t) => [primaryKey({ columns: [t.eventDay, t.weekFrom] })],
);
