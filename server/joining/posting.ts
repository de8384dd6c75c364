import { and, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { leaders, walkLeaders } from '../db/schema/index.js';
import { isPostingOpen } from './renewal.js';

/**
 * Whether someone may post new walks at an instant (ms): an approved leader whose agreement is not due. Ask it wherever a walk becomes
 * public, and keep a draft where the answer is no. What is posted already goes on.
 */
export function mayPost(q: Tx, personId: number, now: number): boolean {
  const row = q
    .select({ dueAt: leaders.agreementDueAt })
    .from(leaders)
    .where(and(eq(leaders.personId, personId), eq(leaders.state, 'approved')))
    .get();
  return row !== undefined && isPostingOpen(row, now);
}

/** The same for a draft, by whoever will lead it: a coordinator who helps to post it signs for nobody. */
export function mayPostDraft(q: Tx, walkId: number, now: number): boolean {
  const row = q
    .select({ personId: walkLeaders.personId })
    .from(walkLeaders)
    .where(and(eq(walkLeaders.walkId, walkId), eq(walkLeaders.part, 'leader')))
    .get();
  return row !== undefined && mayPost(q, row.personId, now);
}
