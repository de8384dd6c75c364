import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import type { NoticeKind } from '../notices/content.js';
import type { NoticeState } from '../notices/store.js';

const MOST_SHOWN = 50;

/** A posted walk to come, with its leader and those approved co-leaders who share it. */
export interface ComingWalk {
  id: number;
  routeName: string;
  areaName: string;
  gatherAt: number;
  zone: string;
  leader: string;
  coLeaders: string | null;
}

/** Posted walks to come of leaders who were stood down, shut out or erased, or those of one person whatever their standing: soonest first, at most fifty. */
export function comingWalksOf(q: Tx, whose: 'stood down' | { personId: number }, now: number): ComingWalk[] {
  // The few who lead no more are found once, so that each walk is asked only who leads it.
  const led =
    whose === 'stood down'
      ? sql`l.person_id IN (SELECT gone.person_id FROM leaders gone JOIN people shut ON shut.id = gone.person_id
          WHERE gone.state = 'stood_down' OR shut.disabled_at IS NOT NULL)`
      : sql`l.person_id = ${whose.personId}`;
  // CROSS JOIN keeps the order: from the few walks to come to who leads them, so that the years behind cost nothing.
  return q.all<ComingWalk>(sql`
    SELECT w.id, w.route_name AS routeName, a.name AS areaName, w.gather_at AS gatherAt, w.zone, who.name AS leader,
      (SELECT group_concat(other.name, ' and ') FROM walk_leaders co
        JOIN leaders standing ON standing.person_id = co.person_id AND standing.state = 'approved'
        JOIN people other ON other.id = co.person_id AND other.disabled_at IS NULL
        WHERE co.walk_id = w.id AND co.part = 'co-leader') AS coLeaders
    FROM walks w
      CROSS JOIN walk_leaders l ON l.walk_id = w.id AND l.part = 'leader'
      JOIN people who ON who.id = l.person_id
      JOIN areas a ON a.id = w.area_id
    WHERE w.state = 'posted' AND w.gather_at > ${now} AND ${led}
    ORDER BY w.gather_at LIMIT ${MOST_SHOWN}`);
}

/** How many posted walks to come somebody leads, however many that is. */
export function comingCountOf(q: Tx, personId: number, now: number): number {
  return q.get<{ count: number }>(sql`
    SELECT count(*) AS count FROM walk_leaders l CROSS JOIN walks w ON w.id = l.walk_id
    WHERE l.person_id = ${personId} AND l.part = 'leader' AND w.state = 'posted' AND w.gather_at > ${now}`).count;
}

/** "1 coming walk", "60 coming walks". */
export function comingWords(count: number): string {
  return count === 1 ? '1 coming walk' : `${count} coming walks`;
}

/** How many of a walk's notices of a kind are in a state, and the first instant (ms) at which one that waits will go. */
export interface NoticeCount {
  kind: NoticeKind;
  state: NoticeState;
  count: number;
  dueAt: number;
}

/** A walk's notices counted by kind and state, whatever their number. */
export function noticeCounts(q: Tx, walkId: number): NoticeCount[] {
  return q.all<NoticeCount>(sql`
    SELECT kind, state, count(*) AS count, min(due_at) AS dueAt FROM notices WHERE walk_id = ${walkId} GROUP BY kind, state ORDER BY min(id)`);
}
