import { integer, primaryKey, real, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { WalkFacts } from '../../walks/facts.js';
import type { Stop } from '../../walks/stops.js';

/** One outing on one day. wallDate, wallTime and wallSetOff are what the leader meant; gatherAt and setOffAt follow from them. */
export const walks = sqliteTable('walks', {
  id: integer('id').primaryKey(),
  uid: text('uid').notNull(),
  state: text('state', { enum: ['draft', 'posted', 'cancelled', 'closed'] }).notNull(),
  version: integer('version').notNull().default(1),
  sequence: integer('sequence').notNull().default(0),
  areaId: integer('area_id').notNull(),
  routeName: text('route_name').notNull(),
  locality: text('locality').notNull(),
  wallDate: text('wall_date').notNull(),
  wallTime: text('wall_time').notNull(),
  wallSetOff: text('wall_set_off').notNull(),
  zone: text('zone').notNull(),
  /** Minutes east of UTC chosen for an hour that happens twice; null otherwise. */
  doubledOffset: integer('doubled_offset'),
  gatherAt: integer('gather_at').notNull(),
  setOffAt: integer('set_off_at').notNull(),
  month: text('month').notNull(),
  meetingPoint: text('meeting_point').notNull(),
  landmark: text('landmark').notNull(),
  lat: real('lat'),
  lon: real('lon'),
  distanceMetres: integer('distance_metres').notNull(),
  ascentMetres: real('ascent_metres').notNull().default(0),
  surfaces: text('surfaces', { mode: 'json' }).$type<string[]>().notNull().default([]),
  stepFree: integer('step_free', { mode: 'boolean' }).notNull().default(false),
  capacity: integer('capacity').notNull(),
  dogs: integer('dogs', { mode: 'boolean' }).notNull().default(false),
  minors: integer('minors', { mode: 'boolean' }).notNull().default(false),
  theme: text('theme').notNull().default(''),
  directions: text('directions').notNull().default(''),
  description: text('description').notNull().default(''),
  bring: text('bring').notNull().default(''),
  /** What moved since posting, in a few words for the timetable; empty where nothing did. */
  moved: text('moved').notNull().default(''),
  /** The instant first posted, where date or time have changed since (schema.org previousStartDate). */
  previousGatherAt: integer('previous_gather_at'),
  cancelKind: text('cancel_kind', { enum: ['safety', 'other'] }),
  cancelReason: text('cancel_reason'),
  createdAt: integer('created_at').notNull(),
  updatedAt: integer('updated_at').notNull(),
  postedAt: integer('posted_at'),
  cancelledAt: integer('cancelled_at'),
  closedAt: integer('closed_at'),
  routeId: integer('route_id'),
  effortMetres: real('effort_metres'),
  stops: text('stops', { mode: 'json' }).$type<Stop[]>().notNull().default([]),
  /** YYYY-MM-DD, or empty. */
  seenOn: text('seen_on').notNull().default(''),
  explained: text('explained', { mode: 'json' }).$type<Record<string, string>>().notNull().default({}),
  /** The walks it was made with, or from. */
  seriesId: integer('series_id'),
});

export const walkLeaders = sqliteTable(
  'walk_leaders',
  {
    walkId: integer('walk_id').notNull(),
    personId: integer('person_id').notNull(),
    part: text('part', { enum: ['leader', 'co-leader'] }).notNull(),
  },
  (t) => [primaryKey({ columns: [t.walkId, t.personId] })],
);

/** Each version of a walk as it stood from then on. */
export const walkChanges = sqliteTable(
  'walk_changes',
  {
    walkId: integer('walk_id').notNull(),
    version: integer('version').notNull(),
    kind: text('kind', { enum: ['created', 'posted', 'edited', 'cancelled', 'zone', 'handed over'] }).notNull(),
    byPersonId: integer('by_person_id'),
    facts: text('facts', { mode: 'json' }).$type<WalkFacts>().notNull(),
    at: integer('at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.walkId, t.version] })],
);
