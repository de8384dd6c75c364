import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import type { OweContext } from '../notices/owe.js';
import { fillFreedPlaces } from '../signups/places.js';

/**
 * Gives free places of walks to come to those who wait. Every change does that at once, but one: when somebody is erased again after a
 * restore, there is nobody to owe mail yet. Gives how many walks somebody waits for.
 */
export function fillAllFreed(tx: Tx, context: OweContext): number {
  const awaited = tx.all<{ id: number }>(sql`
    SELECT w.id FROM walks w WHERE w.state IN ('posted', 'cancelled') AND w.state = 'posted' AND w.gather_at > ${context.now}
      AND EXISTS (SELECT 1 FROM sign_ups s WHERE s.walk_id = w.id AND s.state = 'waiting')`);
  for (const { id } of awaited) fillFreedPlaces(tx, context, id);
  return awaited.length;
}
