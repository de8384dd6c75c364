import { and, asc, desc, eq, gte, lt } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { signUps, walks } from '../db/schema/index.js';

/** Past sign-ups shown on a person's page; all of them are in the JSON. */
const PAST_SHOWN = 20;

export type OwnSignUp = ReturnType<typeof comingSignUps>[number];

/** Sign-ups with this address for walks that have not begun, the next one first. */
export function comingSignUps(q: Tx, email: string, now: number) {
  return from(q)
    .where(and(eq(signUps.email, email), gte(walks.gatherAt, now)))
    .orderBy(asc(walks.gatherAt))
    .all();
}

/** Those for walks that have begun, the latest first. */
export function pastSignUps(q: Tx, email: string, now: number, most = PAST_SHOWN): OwnSignUp[] {
  return from(q)
    .where(and(eq(signUps.email, email), lt(walks.gatherAt, now)))
    .orderBy(desc(walks.gatherAt))
    .limit(most)
    .all();
}

function from(q: Tx) {
  return q
    .select({
      id: signUps.id,
      state: signUps.state,
      name: signUps.name,
      phone: signUps.phone,
      partySize: signUps.partySize,
      createdAt: signUps.createdAt,
      walkId: walks.id,
      walkState: walks.state,
      gatherAt: walks.gatherAt,
      zone: walks.zone,
      distanceMetres: walks.distanceMetres,
      routeName: walks.routeName,
      locality: walks.locality,
    })
    .from(signUps)
    .innerJoin(walks, eq(walks.id, signUps.walkId));
}
