import { eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { calendarFeeds } from '../db/schema/index.js';
import { hashed, type Sealer } from '../db/seal.js';
import type { TimetableRow } from '../walks/timetable.js';

/** A leader's calendar address as it stands. */
export interface Feed {
  token: string;
  /** When it was made, ms. */
  madeAt: number;
}

/** Worked out from the key, so that it can be shown again while the table holds its hash; with a new salt it is another. */
function feedToken(sealer: Sealer, personId: number, salt: string): string {
  return sealer.derive('lead-calendar', `${personId}:${salt}`);
}

/** The calendar address of a leader; undefined where they have none. */
export function feedOf(q: Tx, sealer: Sealer, personId: number): Feed | undefined {
  const row = q.select().from(calendarFeeds).where(eq(calendarFeeds.personId, personId)).get();
  return row && { token: feedToken(sealer, personId, row.salt), madeAt: row.madeAt };
}

/** Makes a leader a new calendar address; the one they had leads nowhere from then on. */
export function makeFeed(tx: Tx, sealer: Sealer, personId: number, made: { salt: string; at: number }): void {
  const row = { salt: made.salt, tokenHash: hashed(feedToken(sealer, personId, made.salt)), madeAt: made.at };
  tx.insert(calendarFeeds)
    .values({ personId, ...row })
    .onConflictDoUpdate({ target: calendarFeeds.personId, set: row })
    .run();
}

/** Takes a leader's calendar address away. */
export function dropFeed(tx: Tx, personId: number): void {
  tx.delete(calendarFeeds).where(eq(calendarFeeds.personId, personId)).run();
}

/** The approved leader whose calendar an address is; undefined where it is nobody's. */
export function leaderOfFeed(q: Tx, token: string): { personId: number; areaId: number } | undefined {
  return q.get<{ personId: number; areaId: number } | undefined>(sql`
    SELECT f.person_id AS personId, l.area_id AS areaId FROM calendar_feeds f
      JOIN leaders l ON l.person_id = f.person_id AND l.state = 'approved'
      JOIN people p ON p.id = f.person_id AND p.disabled_at IS NULL
    WHERE f.token_hash = ${hashed(token)}`);
}

/** A walk in its leader's calendar. */
export interface LedRow
  extends Pick<
    TimetableRow,
    | 'id'
    | 'uid'
    | 'sequence'
    | 'updatedAt'
    | 'routeName'
    | 'locality'
    | 'gatherAt'
    | 'setOffAt'
    | 'meetingPoint'
    | 'landmark'
    | 'lat'
    | 'lon'
    | 'distanceMetres'
    | 'ascentMetres'
    | 'effortMetres'
    | 'stops'
    | 'capacity'
    | 'cancelReason'
    | 'confirmed'
    | 'waiting'
  > {
  state: 'posted' | 'cancelled' | 'closed';
  part: 'leader' | 'co-leader';
}

/** Walks that were posted and that someone leads or shares, gathering within a span (ms, both ends counted), soonest first. One query. */
export function ledBetween(q: Tx, personId: number, from: number, to: number): LedRow[] {
  return q.all<LedRow>(sql`
    SELECT w.id, w.uid, w.state, w.sequence, w.updated_at AS updatedAt, w.route_name AS routeName, w.locality, w.gather_at AS gatherAt,
      w.set_off_at AS setOffAt, w.meeting_point AS meetingPoint, w.landmark, w.lat, w.lon, w.distance_metres AS distanceMetres,
      w.ascent_metres AS ascentMetres, w.effort_metres AS effortMetres, w.stops, w.capacity, w.cancel_reason AS cancelReason, l.part,
      coalesce((SELECT sum(party_size) FROM sign_ups s WHERE s.walk_id = w.id AND s.state = 'confirmed'), 0) AS confirmed,
      coalesce((SELECT sum(party_size) FROM sign_ups s WHERE s.walk_id = w.id AND s.state = 'waiting'), 0) AS waiting
    FROM walk_leaders l CROSS JOIN walks w ON w.id = l.walk_id
    WHERE l.person_id = ${personId} AND w.posted_at IS NOT NULL AND w.gather_at BETWEEN ${from} AND ${to}
    ORDER BY w.gather_at, w.id`);
}
