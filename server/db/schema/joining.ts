import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** Someone's wish to lead walks, as they typed it, and what became of it. One open application a person. */
export const applications = sqliteTable('applications', {
  id: integer('id').primaryKey(),
  personId: integer('person_id').notNull(),
  state: text('state', { enum: ['open', 'approved', 'declined', 'withdrawn'] }).notNull(),
  name: text('name').notNull(),
  phone: text('phone').notNull(),
  areaId: integer('area_id').notNull(),
  why: text('why').notNull(),
  /** Weekdays: 1 is Monday. */
  days: text('days', { mode: 'json' }).$type<number[]>().notNull(),
  longestMetres: integer('longest_metres').notNull(),
  /** Numbers of areas besides `areaId`. */
  otherAreas: text('other_areas', { mode: 'json' }).$type<number[]>().notNull(),
  /** What a coordinator asked last; empty where nothing was. */
  question: text('question').notNull().default(''),
  askedAt: integer('asked_at'),
  answer: text('answer').notNull().default(''),
  answeredAt: integer('answered_at'),
  /** A coordinator's reason for declining. */
  words: text('words').notNull().default(''),
  createdAt: integer('created_at').notNull(),
  changedAt: integer('changed_at').notNull(),
  /** When every step was found done and the coordinators were told. */
  readyAt: integer('ready_at'),
  decidedAt: integer('decided_at'),
  decidedBy: integer('decided_by'),
});

/** An area besides their own in which someone leads, too. */
export const leaderAreas = sqliteTable(
  'leader_areas',
  {
    personId: integer('person_id').notNull(),
    areaId: integer('area_id').notNull(),
  },
  (t) => [primaryKey({ columns: [t.personId, t.areaId] })],
);
