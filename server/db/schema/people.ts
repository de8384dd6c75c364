import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import { areas } from './areas.js';

/** Everyone who has signed in, or was made a leader or coordinator. Walkers who never signed in live in their sign-ups. */
export const people = sqliteTable('people', {
  id: integer('id').primaryKey(),
  name: text('name').notNull(),
  email: text('email').notNull(),
  phone: text('phone'),
  coordinator: integer('coordinator', { mode: 'boolean' }).notNull().default(false),
  createdAt: integer('created_at').notNull(),
  disabledAt: integer('disabled_at'),
});

/** A signed-in browser. The cookie holds the token, this table its SHA-256. */
export const sessions = sqliteTable('sessions', {
  tokenHash: text('token_hash').primaryKey(),
  personId: integer('person_id').notNull(),
  createdAt: integer('created_at').notNull(),
  seenAt: integer('seen_at').notNull(),
  expiresAt: integer('expires_at').notNull(),
});

/** A mailed sign-in link; spent once used, useless after its expiry. */
export const signInLinks = sqliteTable('sign_in_links', {
  id: integer('id').primaryKey(),
  email: text('email').notNull(),
  tokenHash: text('token_hash').notNull(),
  codeHash: text('code_hash').notNull(),
  browserHash: text('browser_hash'),
  next: text('next'),
  wrongCodes: integer('wrong_codes').notNull().default(0),
  createdAt: integer('created_at').notNull(),
  expiresAt: integer('expires_at').notNull(),
  usedAt: integer('used_at'),
});

/** A person who may post walks (`approved`), or no longer (`stood_down`). `sinceMonth` is the first of their first term (commitment.ts). */
export const leaders = sqliteTable('leaders', {
  personId: integer('person_id').primaryKey(),
  areaId: integer('area_id')
    .notNull()
    .references(() => areas.id),
  state: text('state', { enum: ['approved', 'stood_down'] }).notNull(),
  sinceMonth: text('since_month').notNull(),
  createdAt: integer('created_at').notNull(),
  /** From this instant on no new walk is posted until the leader's agreement is signed: server/joining/renewal.ts. */
  agreementDueAt: integer('agreement_due_at').notNull().default(0),
  /** Weekdays they can lead on: 1 is Monday. */
  days: text('days', { mode: 'json' }).$type<number[]>().notNull().default([]),
  longestMetres: integer('longest_metres'),
  shortestMetres: integer('shortest_metres'),
  /** Until when a first-aid certificate is valid, YYYY-MM-DD. */
  firstAidUntil: text('first_aid_until'),
  /** Shares a first walk with a new leader, who may see name and phone. */
  offersFirst: integer('offers_first', { mode: 'boolean' }).notNull().default(false),
});

/** What a leader promises from a month on. */
export const pledges = sqliteTable(
  'pledges',
  {
    personId: integer('person_id').notNull(),
    fromMonth: text('from_month').notNull(),
    walks: integer('walks').notNull(),
  },
  (t) => [primaryKey({ columns: [t.personId, t.fromMonth] })],
);

/** A month in which a leader promised nothing, and why. */
export const excusedMonths = sqliteTable(
  'excused_months',
  {
    personId: integer('person_id').notNull(),
    month: text('month').notNull(),
    reason: text('reason').notNull(),
    /** Who excused it, and when (ms); null in rows from before they were kept. */
    byPersonId: integer('by_person_id'),
    at: integer('at'),
  },
  (t) => [primaryKey({ columns: [t.personId, t.month] })],
);

/** Who did what to which thing, and when. Never holds sealed details. */
export const auditLog = sqliteTable('audit_log', {
  id: integer('id').primaryKey(),
  at: integer('at').notNull(),
  personId: integer('person_id'),
  action: text('action').notNull(),
  subject: text('subject').notNull(),
  detail: text('detail', { mode: 'json' }).$type<Record<string, unknown>>().notNull().default({}),
});

/** Addresses whose holders were erased, as keyed digests: a restored backup forgets them again. */
export const erased = sqliteTable('erased', {
  mark: text('mark').primaryKey(),
  at: integer('at').notNull(),
  /** A keyed mark of the row: server/privacy/marks.ts. */
  proof: text('proof').notNull(),
});
