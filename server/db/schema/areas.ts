import { integer, real, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** The group's settings, one JSON value a key; see server/settings. */
export const settings = sqliteTable('settings', {
  key: text('key').primaryKey(),
  value: text('value', { mode: 'json' }).notNull(),
});

/** A part of the region. Walks take their time zone from it unless the leader chooses another. */
export const areas = sqliteTable('areas', {
  id: integer('id').primaryKey(),
  slug: text('slug').notNull(),
  name: text('name').notNull(),
  lat: real('lat').notNull(),
  lon: real('lon').notNull(),
  radiusMetres: integer('radius_metres').notNull(),
  zone: text('zone').notNull(),
  emergencyNumber: text('emergency_number').notNull(),
  floorWalks: integer('floor_walks'),
  /** Walks a week that the area wants where the season plan has one of the kind. */
  weekdayWalks: integer('weekday_walks').notNull().default(1),
  saturdayWalks: integer('saturday_walks').notNull().default(1),
  sundayWalks: integer('sunday_walks').notNull().default(1),
  /** How far from the plan's length a walk may be, as a share of it; null: as the group's settings say. */
  lengthTolerance: real('length_tolerance'),
  createdAt: integer('created_at').notNull(),
});

/** Rules, waiver and the other texts, each version kept for ever. */
export const texts = sqliteTable('texts', {
  id: integer('id').primaryKey(),
  kind: text('kind', { enum: ['rules', 'waiver', 'agreement', 'briefing', 'cautions'] }).notNull(),
  version: integer('version').notNull(),
  body: text('body').notNull(),
  sha256: text('sha256').notNull(),
  createdAt: integer('created_at').notNull(),
  /** Who published it; null for the samples. */
  byPersonId: integer('by_person_id'),
});
