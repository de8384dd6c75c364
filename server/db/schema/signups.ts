import { blob, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { NoticeContent, NoticeKind } from '../../notices/content.js';

/** One booking by one walker for a party. told_version is the version of the walk that walker was last told of. */
export const signUps = sqliteTable('sign_ups', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  tokenHash: text('token_hash').notNull(),
  /** Keyed digest of everything posted: the same form posted twice finds its first sign-up. */
  postMark: text('post_mark').notNull(),
  state: text('state', { enum: ['confirmed', 'waiting', 'withdrawn'] }).notNull(),
  name: text('name').notNull(),
  email: text('email').notNull(),
  phone: text('phone').notNull(),
  phoneTyped: text('phone_typed').notNull(),
  partySize: integer('party_size').notNull(),
  rulesTextId: integer('rules_text_id').notNull(),
  rulesAgreedAt: integer('rules_agreed_at').notNull(),
  toldVersion: integer('told_version'),
  createdAt: integer('created_at').notNull(),
  withdrawnAt: integer('withdrawn_at'),
  /** When the booker first acted on a link mailed to their address. */
  provedAt: integer('proved_at'),
});

export const partyMembers = sqliteTable('party_members', {
  id: integer('id').primaryKey(),
  signUpId: integer('sign_up_id').notNull(),
  name: text('name').notNull(),
  minor: integer('minor', { mode: 'boolean' }).notNull().default(false),
  guardianId: integer('guardian_id'),
  removedAt: integer('removed_at'),
  /** The date a minor turns 18, YYYY-MM-DD, where that is near; empty where it was not said. */
  adultOn: text('adult_on').notNull().default(''),
  /** An adult who was not there when the party was booked: their own address, and their own link to sign by. */
  email: text('email'),
  signTokenHash: text('sign_token_hash'),
  /** Whether pictures that show them may be used. */
  photos: integer('photos', { mode: 'boolean' }).notNull().default(false),
  /** When an absent adult agreed to the rules; the others' is the sign-up's. */
  rulesAgreedAt: integer('rules_agreed_at'),
  rulesTextId: integer('rules_text_id'),
});

/** Whom to phone for one party member, sealed (server/db/seal.ts). */
export const emergencyContacts = sqliteTable('emergency_contacts', {
  memberId: integer('member_id').primaryKey(),
  sealed: blob('sealed', { mode: 'buffer' }).notNull(),
  createdAt: integer('created_at').notNull(),
});

/** Emergency contacts kept for a person's next sign-up, sealed. */
export const keptContacts = sqliteTable('kept_contacts', {
  id: integer('id').primaryKey(),
  personId: integer('person_id').notNull(),
  forName: text('for_name').notNull(),
  forKey: text('for_key').notNull(),
  sealed: blob('sealed', { mode: 'buffer' }).notNull(),
  keptAt: integer('kept_at').notNull(),
  expiresAt: integer('expires_at').notNull(),
});

/** Mail owed, being sent, or done with. */
export const notices = sqliteTable('notices', {
  id: integer('id').primaryKey(),
  /** Names the cause, so that one cause owes one recipient one mail. */
  event: text('event').notNull(),
  kind: text('kind').$type<NoticeKind>().notNull(),
  state: text('state', { enum: ['pending', 'sending', 'sent', 'failed', 'replaced', 'kept'] }).notNull(),
  walkId: integer('walk_id'),
  signUpId: integer('sign_up_id'),
  version: integer('version'),
  toName: text('to_name').notNull(),
  toEmail: text('to_email').notNull(),
  messageId: text('message_id').notNull(),
  content: text('content', { mode: 'json' }).$type<NoticeContent>().notNull(),
  createdAt: integer('created_at').notNull(),
  dueAt: integer('due_at').notNull(),
  giveUpAt: integer('give_up_at').notNull(),
  attempts: integer('attempts').notNull().default(0),
  unsure: integer('unsure', { mode: 'boolean' }).notNull().default(false),
  lease: text('lease'),
  leaseUntil: integer('lease_until'),
  lastError: text('last_error'),
  endedAt: integer('ended_at'),
  /** Rows to one address with the same lot go as one mail. */
  lot: text('lot'),
});
