import { and, asc, eq, gt, isNull, ne, sql } from 'drizzle-orm';
import { CLOSED_AT_LATEST_MS } from '../contacts/window.js';
import { writeDown } from '../db/audit.js';
import type { Tx } from '../db/open.js';
import { people, signUps, walkLeaders, walks } from '../db/schema/index.js';
import { NAMED_WALK } from '../walks/named.js';

/** A walk as erasing names it. */
export type NamedWalk = ReturnType<typeof walksStillLed>[number];

/** Posted walks that someone leads and that are not over: to come, or under way and not closed. Soonest first. */
export function walksStillLed(q: Tx, personId: number, now: number) {
  return q
    .select(NAMED_WALK)
    .from(walkLeaders)
    .innerJoin(walks, eq(walks.id, walkLeaders.walkId))
    .where(
      and(
        eq(walkLeaders.personId, personId),
        eq(walkLeaders.part, 'leader'),
        eq(walks.state, 'posted'),
        gt(walks.gatherAt, now - CLOSED_AT_LATEST_MS),
      ),
    )
    .orderBy(asc(walks.gatherAt))
    .all();
}

/** Sign-ups with an address for walks to come that are not withdrawn, soonest first. Of a cancelled walk nobody need withdraw. */
export function standingSignUps(q: Tx, email: string, now: number) {
  return q
    .select({ ...NAMED_WALK, id: signUps.id })
    .from(signUps)
    .innerJoin(walks, eq(walks.id, signUps.walkId))
    .where(and(eq(signUps.email, email), ne(signUps.state, 'withdrawn'), eq(walks.state, 'posted'), gt(walks.gatherAt, now)))
    .orderBy(asc(walks.gatherAt))
    .all();
}

/** Walks to come on which someone is in a party that somebody else booked, soonest first. */
export function standingPlaces(q: Tx, email: string, now: number): NamedWalk[] {
  return q.all<NamedWalk>(sql`
    SELECT DISTINCT w.id AS walkId, w.gather_at AS gatherAt, w.zone, w.distance_metres AS distanceMetres, w.route_name AS routeName, w.locality
    FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id JOIN walks w ON w.id = s.walk_id
    WHERE m.email = ${email} AND m.removed_at IS NULL AND s.email <> ${email} AND s.state <> 'withdrawn' AND w.state = 'posted'
      AND w.gather_at > ${now}
    ORDER BY w.gather_at`);
}

/** Whether there is a coordinator besides someone. */
export function hasOtherCoordinator(q: Tx, personId: number): boolean {
  // Written out, not as a parameter: the index on coordinators is found by these words.
  const other = and(sql`${people.coordinator} = 1`, ne(people.id, personId), isNull(people.disabledAt));
  return q.select({ one: sql`1` }).from(people).where(other).limit(1).get() !== undefined;
}

/** Writes down that somebody was erased, by the number they had. */
export function noteErased(tx: Tx, personId: number, at: number): void {
  writeDown(tx, { at, personId: null, action: 'erased a person at their own wish', subject: `person:${personId}` });
}
