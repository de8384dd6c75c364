import { blob, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** What happened to somebody on a walk: what the queue sorts by. What it was is sealed in the versions and the notes. */
export const incidents = sqliteTable('incidents', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  /** The form's own, so that posted twice is once. */
  postMark: text('post_mark').notNull(),
  /** Who on the roll is concerned: "m12", "tKEY"; empty for somebody else. */
  who: text('who').notNull(),
  /** Whether the emergency services were called. */
  called: integer('called', { mode: 'boolean' }).notNull(),
  state: text('state', { enum: ['open', 'closed'] }).notNull(),
  /** When somebody looks at it again, YYYY-MM-DD. */
  dueOn: text('due_on').notNull(),
  assignedTo: integer('assigned_to'),
  /** One of OUTCOMES (server/incidents/words.ts); empty while it is open. */
  outcome: text('outcome').notNull().default(''),
  createdAt: integer('created_at').notNull(),
  byPersonId: integer('by_person_id'),
  closedAt: integer('closed_at'),
  closedBy: integer('closed_by'),
});

/** The record as it was written and changed, sealed (server/db/seal.ts). */
export const incidentVersions = sqliteTable('incident_versions', {
  id: integer('id').primaryKey(),
  incidentId: integer('incident_id').notNull(),
  version: integer('version').notNull(),
  recordSealed: blob('record_sealed', { mode: 'buffer' }).notNull(),
  at: integer('at').notNull(),
  byPersonId: integer('by_person_id'),
});

/** What was noted since, sealed. */
export const incidentNotes = sqliteTable('incident_notes', {
  id: integer('id').primaryKey(),
  incidentId: integer('incident_id').notNull(),
  noteSealed: blob('note_sealed', { mode: 'buffer' }).notNull(),
  at: integer('at').notNull(),
  byPersonId: integer('by_person_id'),
});
