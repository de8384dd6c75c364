import { and, eq, sql } from 'drizzle-orm';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { areas, leaders, walkLeaders, walks } from '../db/schema/index.js';
import { erasedLetter } from '../joining/letters.js';
import { oweCoordinators } from '../joining/owe.js';
import { endLeading } from '../leaders/leaving.js';
import type { OweContext } from '../notices/compose.js';
import type { Services } from '../services.js';
import { applyCancel } from '../walks/save.js';

/** The area that somebody leads in; null where they lead no more. */
export function areaLed(tx: Tx, personId: number): string | null {
  const row = tx
    .select({ name: areas.name })
    .from(leaders)
    .innerJoin(areas, eq(areas.id, leaders.areaId))
    .where(and(eq(leaders.personId, personId), eq(leaders.state, 'approved')))
    .get();
  return row?.name ?? null;
}

/**
 * What leaving does, before somebody is erased: whoever asked them something hears of it, and drafts that they lead alone are discarded,
 * since nobody else sees them. The mail names them until their name is taken out of all mail, in the same transaction.
 */
export function leaveLeading(tx: Tx, services: Services, context: OweContext, personId: number): void {
  endLeading(tx, context, personId, personId);
  for (const walk of loneDrafts(tx, personId)) {
    applyCancel(tx, services, walk, { by: personId, why: { kind: 'other', reason: '' }, lot: null });
    writeDown(tx, { at: context.now, personId: null, action: 'discarded a draft of an erased leader', subject: `walk:${walk.id}` });
  }
}

/** Tells the coordinators, after somebody was erased: mail about them from before is gone. */
export function tellErased(tx: Tx, context: OweContext, personId: number, areaName: string): void {
  const letter = erasedLetter({ personId, areaName });
  oweCoordinators(tx, context, { kind: 'leader-left', event: `leader-erased:${personId}:${context.now}`, letter });
}

function loneDrafts(tx: Tx, personId: number) {
  const shared = sql`EXISTS (SELECT 1 FROM walk_leaders c WHERE c.walk_id = ${walks.id} AND c.part = 'co-leader')`;
  const theirs = and(eq(walkLeaders.personId, personId), eq(walkLeaders.part, 'leader'), eq(walks.state, 'draft'));
  return tx
    .select({ walk: walks })
    .from(walkLeaders)
    .innerJoin(walks, eq(walks.id, walkLeaders.walkId))
    .where(and(theirs, sql`NOT ${shared}`))
    .all()
    .map((row) => row.walk);
}
