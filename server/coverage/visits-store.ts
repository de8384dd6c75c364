import { eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { boardVisits } from '../db/schema/index.js';
import type { Seen } from './changes.js';

/** What a coordinator saw of the board when they last marked it as seen; undefined where they never did. */
export function seenBy(q: Tx, personId: number): Seen | undefined {
  const { seenAt, untilMonth, gaps } = boardVisits;
  return q.select({ seenAt, untilMonth, gaps }).from(boardVisits).where(eq(boardVisits.personId, personId)).get();
}

/** Keeps what they see now in place of it. */
export function markSeen(tx: Tx, personId: number, seen: Seen): void {
  tx.insert(boardVisits)
    .values({ personId, ...seen })
    .onConflictDoUpdate({ target: boardVisits.personId, set: seen })
    .run();
}

/** Forgets what somebody saw. */
export function forgetSeen(tx: Tx, personId: number): void {
  tx.delete(boardVisits).where(eq(boardVisits.personId, personId)).run();
}
