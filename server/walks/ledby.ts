import { and, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { walkLeaders, walks } from '../db/schema/index.js';
import { Problem } from '../web/errors.js';
import type { Person } from '../web/visitor.js';

export type WalkRow = typeof walks.$inferSelect;

/** A walk and the part its visitor has in it. */
export interface LedWalk {
  walk: WalkRow;
  part: 'leader' | 'co-leader' | 'coordinator';
}

/**
 * The walk `id` if `person` leads it, shares it, or coordinates. A walk that is public already answers 403 to others; a walk never posted is
 * private, so it answers 404, as does a number that names none.
 * @throws Problem
 */
export function ledWalk(q: Tx, id: number, person: Person): LedWalk {
  const found = Number.isSafeInteger(id)
    ? q
        .select({ walk: walks, part: walkLeaders.part })
        .from(walks)
        .leftJoin(walkLeaders, and(eq(walkLeaders.walkId, walks.id), eq(walkLeaders.personId, person.id)))
        .where(eq(walks.id, id))
        .get()
    : undefined;
  const part = (person.leader && found?.part) || (person.coordinator ? 'coordinator' : null);
  if (found && part) return { walk: found.walk, part };
  if (found && found.walk.postedAt !== null) throw Problem.forbidden("Only this walk's leaders and the coordinators see this page.");
  throw Problem.notFound('There is no such walk, or it is not yours.');
}
