import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { Part } from '../../day/pack.js';

/** A day pack made to be printed. */
export const packs = sqliteTable('packs', {
  id: integer('id').primaryKey(),
  walkId: integer('walk_id').notNull(),
  at: integer('at').notNull(),
  byPersonId: integer('by_person_id'),
  /** Of the walk, as printed. */
  version: integer('version').notNull(),
  parts: text('parts', { mode: 'json' }).$type<Part[]>().notNull(),
  /** With emergency contacts. */
  contacts: integer('contacts', { mode: 'boolean' }).notNull(),
  /** Who was on the list ("m12"), and whether a waiver was in force for them. */
  list: text('list', { mode: 'json' }).$type<Record<string, 0 | 1>>().notNull(),
  /** Keyed, over what else was printed of them. */
  digest: text('digest').notNull(),
});
