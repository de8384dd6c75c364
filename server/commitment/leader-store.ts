import { and, asc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { areas, leaders, people, walkLeaders, walks } from '../db/schema/index.js';

/** A leader as the coordinator's page of them shows: undefined where nobody of that number ever led. */
export function leaderById(q: Tx, personId: number) {
  if (!Number.isSafeInteger(personId)) return undefined;
  return q
    .select({
      personId: leaders.personId,
      standing: leaders.state,
      name: people.name,
      email: people.email,
      phone: people.phone,
      /** Shut out, or erased. */
      disabledAt: people.disabledAt,
      areaName: areas.name,
      zone: areas.zone,
    })
    .from(leaders)
    .innerJoin(people, eq(people.id, leaders.personId))
    .innerJoin(areas, eq(areas.id, leaders.areaId))
    .where(eq(leaders.personId, personId))
    .get();
}

/** The walks of a month that someone leads or shares, drafts and cancelled ones too, in the order of their days. */
export function walksOfMonth(q: Tx, personId: number, month: string) {
  return q
    .select({ walk: walks, part: walkLeaders.part })
    .from(walkLeaders)
    .innerJoin(walks, eq(walks.id, walkLeaders.walkId))
    .where(and(eq(walkLeaders.personId, personId), eq(walks.month, month)))
    .orderBy(asc(walks.gatherAt))
    .all();
}
