import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** A stretch in which someone leads: asked for walks from `fromMonth` on, from `untilMonth` on no more. */
export const leaderTerms = sqliteTable(
  'leader_terms',
  {
    personId: integer('person_id').notNull(),
    fromMonth: text('from_month').notNull(),
    /** The month in which they were stood down; null while they lead. */
    untilMonth: text('until_month'),
    /** When they were approved, ms. */
    at: integer('at').notNull(),
  },
  (t) => [primaryKey({ columns: [t.personId, t.fromMonth] })],
);

/** The monthly mail to a leader. No row: wanted, never decided. */
export const commitmentMails = sqliteTable('commitment_mails', {
  personId: integer('person_id').primaryKey(),
  wanted: integer('wanted', { mode: 'boolean' }).notNull().default(true),
  /** Of the address that turns them off without signing in. */
  offHash: text('off_hash'),
  /** The last month for which it was decided whether a mail is due. */
  decidedMonth: text('decided_month'),
});
