import { blob, integer, real, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { Profile } from '../../calc/profile.js';
import type { Shape } from '../../calc/route.js';
import type { Turn } from '../../calc/turns.js';
import type { LineVertex, Waypoint } from '../../gpx/measured.js';

/** A way to walk, as read from a leader's file; it never changes. */
export const routes = sqliteTable('routes', {
  id: integer('id').primaryKey(),
  byPersonId: integer('by_person_id').notNull(),
  createdAt: integer('created_at').notNull(),
  lengthMetres: real('length_metres').notNull(),
  ascentMetres: real('ascent_metres'),
  descentMetres: real('descent_metres'),
  shape: text('shape').$type<Shape>().notNull(),
  pointCount: integer('point_count').notNull(),
  /** Reduced for drawing, a list a segment. */
  line: text('line', { mode: 'json' }).$type<LineVertex[][]>().notNull(),
  /** No point of the way is further from the reduced line than this. */
  lineErrorMetres: real('line_error_metres').notNull(),
  profile: text('profile', { mode: 'json' }).$type<Profile>(),
  turns: text('turns', { mode: 'json' }).$type<Turn[]>().notNull(),
  waypoints: text('waypoints', { mode: 'json' }).$type<Waypoint[]>().notNull(),
  /** Of `gpx`: the same file from the same person is one route. */
  sha256: text('sha256').notNull(),
  /** Clean GPX 1.1, gzipped. */
  gpx: blob('gpx', { mode: 'buffer' }).notNull(),
});

/** The local forecast for the day of a walk, as its leader typed it. */
export const forecasts = sqliteTable('forecasts', {
  walkId: integer('walk_id').primaryKey(),
  /** The date it is for. */
  wallDate: text('wall_date').notNull(),
  temperatureCelsius: real('temperature_celsius').notNull(),
  /** Percent. */
  humidity: real('humidity').notNull(),
  windMetresPerSecond: real('wind_metres_per_second').notNull(),
  byPersonId: integer('by_person_id').notNull(),
  at: integer('at').notNull(),
});
