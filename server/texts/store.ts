import { createHash } from 'node:crypto';
import { and, desc, eq, sql } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import { prepared, type Tx } from '../db/open.js';
import { people, texts } from '../db/schema/index.js';
import { TEXT_KINDS, type TextKind, type ToCome } from './kinds.js';
import { SAMPLES } from './samples.js';

export type { TextKind } from './kinds.js';

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
  if (!text) throw missing(kind);
  return text;
}

const newestThen = prepared((q) =>
  q
    .select({ id: texts.id, version: texts.version, body: texts.body, sha256: texts.sha256 })
    .from(texts)
    .where(and(eq(texts.kind, sql.placeholder('kind')), sql`${texts.createdAt} <= ${sql.placeholder('at')}`))
    .orderBy(desc(texts.version))
    .limit(1)
    .prepare(),
);

/** The version of a text that was in force at an instant (ms); before the first, the first. */
export function textAt(q: Tx, kind: TextKind, at: number): GroupText {
  return newestThen(q).get({ kind, at }) ?? textInForce(q, kind);
}

function missing(kind: TextKind): Error {
  return new Error(`no ${kind} text has been laid down`);
}

/** When a version was published and by whom: null for the samples. */
export interface Publishing {
  version: number;
  /** ms UTC */
  createdAt: number;
  byName: string | null;
}

/** A version with when and by whom it was published. */
export interface TextVersion extends GroupText, Publishing {
  /** When the next version took its place, ms UTC; null for the one in force. */
  until: number | null;
}

const VERSION = {
  id: texts.id,
  version: texts.version,
  body: texts.body,
  sha256: texts.sha256,
  createdAt: texts.createdAt,
  byName: people.name,
};

/** The version in force, with when and by whom it was published. */
export function publishedInForce(q: Tx, kind: TextKind): TextVersion {
  const row = q
    .select(VERSION)
    .from(texts)
    .leftJoin(people, eq(people.id, texts.byPersonId))
    .where(eq(texts.kind, kind))
    .orderBy(desc(texts.version))
    .limit(1)
    .get();
  if (!row) throw missing(kind);
  return { ...row, until: null };
}

/** Any version of a text, and the body of the one before it (null for the first); undefined where there is no such version. */
export function textVersion(q: Tx, kind: TextKind, version: number): (TextVersion & { before: string | null }) | undefined {
  return q
    .select({
      ...VERSION,
      until: sql<number | null>`(SELECT n.created_at FROM texts n WHERE n.kind = ${texts.kind} AND n.version = ${texts.version} + 1)`,
      before: sql<string | null>`(SELECT b.body FROM texts b WHERE b.kind = ${texts.kind} AND b.version = ${texts.version} - 1)`,
    })
    .from(texts)
    .leftJoin(people, eq(people.id, texts.byPersonId))
    .where(and(eq(texts.kind, kind), eq(texts.version, version)))
    .get();
}

/** Every version of every text, newest first. One query. */
export function allVersions(q: Tx): Record<TextKind, Publishing[]> {
  const rows = q
    .select({ kind: texts.kind, version: texts.version, createdAt: texts.createdAt, byName: people.name })
    .from(texts)
    .leftJoin(people, eq(people.id, texts.byPersonId))
    .orderBy(desc(texts.version))
    .all();
  const by = Object.fromEntries(TEXT_KINDS.map((kind): [TextKind, Publishing[]] => [kind, []])) as Record<TextKind, Publishing[]>;
  for (const { kind, ...publishing } of rows) by[kind].push(publishing);
  return by;
}

/**
 * How many sign-ups for walks to come there are, and how many have a signature of one version of the waiver, their own or from an earlier
 * walk with the same address. One query; it names the states twice because the index of coming walks is for both of them.
 */
export function signedToCome(q: Tx, textId: number, now: number): ToCome {
  const row = q.get<ToCome | undefined>(sql`
    SELECT count(*) AS signUps,
      count(CASE WHEN EXISTS (SELECT 1 FROM waivers v WHERE v.sign_up_id = s.id AND v.text_id = ${textId})
        OR EXISTS (SELECT 1 FROM waivers v WHERE v.email = s.email AND v.text_id = ${textId}) THEN 1 END) AS signed
    FROM walks w JOIN sign_ups s ON s.walk_id = w.id AND s.state IN ('confirmed', 'waiting')
    WHERE w.state IN ('posted', 'cancelled') AND w.state = 'posted' AND w.gather_at > ${now}`);
  return row ?? { signUps: 0, signed: 0 };
}

/** The next version of a text, and the log's line of who published it. In a transaction that has just read which version is in force. */
export function publish(tx: Tx, kind: TextKind, text: { version: number; body: string }, by: { personId: number; now: number }): void {
  const { version, body } = text;
  const { personId, now } = by;
  tx.insert(texts)
    .values({ kind, version, body, sha256: textHash(body), createdAt: now, byPersonId: personId })
    .run();
  writeDown(tx, { at: now, personId, action: 'published a text', subject: `text:${kind}`, detail: { version } });
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
