import { blob, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { Said } from '../../day/ledger.js';

/** Somebody who walks without having signed up. */
export const turnedUp = sqliteTable('turned_up', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  /** What the phone named them by. */
  key: text('key').notNull(),
  name: text('name').notNull(),
  minor: integer('minor', { mode: 'boolean' }).notNull().default(false),
  /** Of a minor: who on the roll answers for them; empty for an adult. */
  guardian: text('guardian').notNull().default(''),
  phone: text('phone').notNull().default(''),
  email: text('email').notNull().default(''),
  waiverId: integer('waiver_id'),
  addedAt: integer('added_at').notNull(),
  addedBy: integer('added_by'),
  rulesTextId: integer('rules_text_id'),
  rulesAgreedAt: integer('rules_agreed_at'),
});

/** Whom to phone for them, sealed (server/db/seal.ts). */
export const turnedUpContacts = sqliteTable('turned_up_contacts', {
  turnedUpId: integer('turned_up_id').primaryKey(),
  sealed: blob('sealed', { mode: 'buffer' }).notNull(),
  createdAt: integer('created_at').notNull(),
});

/** The roll, only ever added to: server/day/ledger.ts. */
export const rollEntries = sqliteTable('roll_entries', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  /** The id that the phone gave it. */
  entry: text('entry').notNull(),
  who: text('who').notNull(),
  said: text('said', { mode: 'json' }).$type<Said>().notNull(),
  after: text('after', { mode: 'json' }).$type<string[]>().notNull(),
  device: text('device').notNull(),
  deviceAt: integer('device_at').notNull(),
  sentAt: integer('sent_at').notNull(),
  receivedAt: integer('received_at').notNull(),
  byPersonId: integer('by_person_id'),
});
