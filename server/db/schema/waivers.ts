import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** One signature of one version of the waiver, or by a leader of the leader's agreement: evidence, chained to the one before. Only its address can be erased. */
export const waivers = sqliteTable('waivers', {
  id: integer('id').primaryKey(),
  /** page: typed on a page. paper: on the day, seen by a leader. file: on file elsewhere, brought in as a list. */
  how: text('how', { enum: ['page', 'paper', 'file'] }).notNull(),
  textId: integer('text_id').notNull(),
  textSha256: text('text_sha256').notNull(),
  signUpId: integer('sign_up_id'),
  memberId: integer('member_id'),
  /** Empty once its holder was erased. */
  email: text('email').notNull(),
  /** Keyed digest of the address: server/privacy/marks.ts. */
  addressMark: text('address_mark').notNull(),
  forName: text('for_name').notNull(),
  /** The name folded for comparison: see server/waivers/rules.ts. */
  forKey: text('for_key').notNull(),
  signedAs: text('signed_as', { enum: ['self', 'guardian', 'leader'] }).notNull(),
  signerName: text('signer_name').notNull(),
  signerKey: text('signer_key').notNull(),
  /** As it was typed; the signer's name where it stands on paper. */
  signature: text('signature').notNull(),
  /** The sentence that was ticked or stands on the paper: that typing the name signs. */
  intent: text('intent').notNull(),
  /** The sentence by which they agreed to sign electronically; empty on paper. */
  consent: text('consent').notNull(),
  proof: text('proof', { enum: ['none', 'link', 'signed in'] }).notNull(),
  /** paper: who saw it signed. file: who brought the list. page: whose screen it was typed on, on the day; empty where it was the signer's own. */
  seenBy: text('seen_by').notNull(),
  signedAt: integer('signed_at').notNull(),
  keptAt: integer('kept_at').notNull(),
  /** Of the document: server/waivers/document.ts. */
  format: integer('format').notNull(),
  documentSha256: text('document_sha256').notNull(),
  /** The hash of the row before; empty for the first. */
  previous: text('previous').notNull(),
  hash: text('hash').notNull(),
});

/** Where the chain ends. One row. */
export const waiverHead = sqliteTable('waiver_head', {
  id: integer('id').primaryKey(),
  waivers: integer('waivers').notNull(),
  hash: text('hash').notNull(),
  mark: text('mark').notNull(),
});

/** From where a signature was typed; kept for a short time only. */
export const waiverTraces = sqliteTable('waiver_traces', {
  waiverId: integer('waiver_id').primaryKey(),
  address: text('address').notNull(),
  agent: text('agent').notNull(),
  at: integer('at').notNull(),
});
