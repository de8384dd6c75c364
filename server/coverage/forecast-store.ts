import { asc, eq, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { leaderAreas, leaders } from '../db/schema/index.js';

/** What an approved leader has said that they lead. */
export interface LeadsWhat {
  personId: number;
  homeAreaId: number;
  /** Other areas. */
  areaIds: number[];
  /** Weekdays: 1 is Monday; none where they have not said. */
  days: number[];
  shortestMetres: number | null;
  longestMetres: number | null;
}

/** Every approved leader with what they lead. Two queries. */
export function leadsWhat(q: Tx): LeadsWhat[] {
  const others = new Map<number, number[]>();
  for (const { personId, areaId } of q.select().from(leaderAreas).orderBy(asc(leaderAreas.personId), asc(leaderAreas.areaId)).all())
    others.set(personId, [...(others.get(personId) ?? []), areaId]);
  const { personId, areaId, days, shortestMetres, longestMetres } = leaders;
  return q
    .select({ personId, homeAreaId: areaId, days, shortestMetres, longestMetres })
    .from(leaders)
    .where(eq(leaders.state, 'approved'))
    .orderBy(asc(personId))
    .all()
    .map((row) => ({ ...row, areaIds: others.get(row.personId) ?? [] }));
}

/** The dates of posted walks to come that each leads or shares, each walk's by the clock of its place. One query: a row a date, since a row a leader and date takes far longer. */
export function busyDates(q: Tx, now: number): Map<number, Set<string>> {
  const rows = q.values<[string, string]>(sql`
    SELECT w.wall_date, json_group_array(l.person_id) FROM walks w CROSS JOIN walk_leaders l ON l.walk_id = w.id
    WHERE w.state = 'posted' AND w.gather_at > ${now} GROUP BY w.wall_date`);
  const busy = new Map<number, Set<string>>();
  for (const [date, people] of rows)
    for (const personId of JSON.parse(people) as number[]) {
      const dates = busy.get(personId);
      if (dates) dates.add(date);
      else busy.set(personId, new Set([date]));
    }
  return busy;
}
