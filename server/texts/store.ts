import { createHash } from 'node:crypto';
import { desc, eq, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { texts } from '../db/schema/index.js';
import { SAMPLES } from './samples.js';

export type TextKind = (typeof texts.$inferSelect)['kind'];

/** One version of a group's text. */
export interface GroupText {
  id: number;
  version: number;
  /** Markdown. */
  body: string;
  /** SHA-256 of the body, in hexadecimal: what a signature is for. */
  sha256: string;
}

const newest = prepared((q) =>
  q
    .select({ id: texts.id, version: texts.version, body: texts.body, sha256: texts.sha256 })
    .from(texts)
    .where(eq(texts.kind, sql.placeholder('kind')))
    .orderBy(desc(texts.version))
    .limit(1)
    .prepare(),
);

/** The newest version of a text: the one in force. Every group has one of each kind from its first day on. */
export function textInForce(q: Tx, kind: TextKind): GroupText {
  const text = newest(q).get({ kind });
  if (!text) throw new Error(`no ${kind} text has been laid down`);
  return text;
}

/** Version 1 of every text, from the samples, for a new group to make its own. */
export function layDownSamples(tx: Tx, now: number): void {
  for (const { kind, body } of SAMPLES)
    tx.insert(texts)
      .values({ kind, version: 1, body, sha256: textHash(body), createdAt: now })
      .run();
}

export function textHash(body: string): string {
  return createHash('sha256').update(body, 'utf8').digest('hex');
}
