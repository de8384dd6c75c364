import { and, eq, exists, isNull, or, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { leaders, people, walkLeaders } from '../db/schema/index.js';
import type { WrittenMessage } from './content.js';

const MAILBOX = { name: people.name, address: people.email };

/** An approved leader's own row, correlated with the person. */
const leadsNow = (q: Tx) =>
  exists(
    q
      .select({ one: sql`1` })
      .from(leaders)
      .where(and(eq(leaders.personId, people.id), eq(leaders.state, 'approved'))),
  );

const writerStill = prepared((q) =>
  q
    .select(MAILBOX)
    .from(people)
    .where(and(eq(people.id, sql.placeholder('byId')), isNull(people.disabledAt), or(eq(people.coordinator, true), leadsNow(q))))
    .prepare(),
);

const leaderNow = prepared((q) =>
  q
    .select(MAILBOX)
    .from(walkLeaders)
    .innerJoin(people, eq(people.id, walkLeaders.personId))
    .where(and(eq(walkLeaders.walkId, sql.placeholder('walkId')), eq(walkLeaders.part, 'leader'), isNull(people.disabledAt), leadsNow(q)))
    .prepare(),
);

/** The mailbox of somebody, as long as they lead or coordinate; null where they do not. */
export function mailboxOf(q: Tx, byId: number): { name: string; address: string } | null {
  return writerStill(q).get({ byId }) ?? null;
}

/** Whom an answer to a message reaches: its writer, as long as they lead or coordinate; else whoever leads the walk now; else nobody. */
export function answerTo(q: Tx, walkId: number, { byId }: Pick<WrittenMessage, 'byId'>): { name: string; address: string } | null {
  const writer = byId === undefined ? undefined : writerStill(q).get({ byId });
  return writer ?? leaderNow(q).get({ walkId }) ?? null;
}
