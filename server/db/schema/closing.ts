import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** How far each one on a roll walked, settled as the walk was closed: server/day/closing-rules.ts. */
export const attendance = sqliteTable('attendance', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  memberId: integer('member_id'),
  turnedUpId: integer('turned_up_id'),
  outcome: text('outcome', { enum: ['full', 'short', 'left', 'absent'] }).notNull(),
  /** Of a short way or of who left early: the stop, from 1; 0 before the first. */
  stop: integer('stop').notNull().default(0),
  metres: integer('metres').notNull(),
});

/** What stands in the way on a route, until somebody says that it is gone. */
export const hazards = sqliteTable('hazards', {
  id: integer('id').primaryKey(),
  /** The walk on which it was found. */
  walkId: integer('walk_id').notNull(),
  /** What the form named it by. */
  key: text('key').notNull(),
  areaId: integer('area_id').notNull(),
  /** The route's name, folded. */
  routeKey: text('route_key').notNull(),
  /** Of the route's file; empty without one. */
  routeSha256: text('route_sha256').notNull().default(''),
  place: text('place').notNull(),
  what: text('what').notNull(),
  /** YYYY-MM-DD, or empty. */
  untilDate: text('until_date').notNull().default(''),
  notedAt: integer('noted_at').notNull(),
  notedBy: integer('noted_by'),
  goneAt: integer('gone_at'),
  goneBy: integer('gone_by'),
});
