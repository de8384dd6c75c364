import { and, asc, eq, gt, isNull, sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { areas, leaderAreas, leaders, people } from '../db/schema/index.js';

/** A leader who may be asked: approved, and free to post. */
export type Askable = ReturnType<typeof askable>[number];

/** The leaders who may be asked for walks: approved, not shut out, their agreement signed. Two queries. @param now ms */
export function askable(q: Tx, now: number) {
  const rows = q
    .select({
      id: people.id,
      name: people.name,
      phone: people.phone,
      areaId: leaders.areaId,
      areaName: areas.name,
      lat: areas.lat,
      lon: areas.lon,
      days: leaders.days,
      shortestMetres: leaders.shortestMetres,
      longestMetres: leaders.longestMetres,
    })
    .from(leaders)
    .innerJoin(people, eq(people.id, leaders.personId))
    .innerJoin(areas, eq(areas.id, leaders.areaId))
    .where(and(eq(leaders.state, 'approved'), isNull(people.disabledAt), gt(leaders.agreementDueAt, now)))
    .orderBy(asc(people.name), asc(people.id))
    .all();
  const others = new Map<number, number[]>();
  for (const { personId, areaId } of q.select().from(leaderAreas).all()) others.set(personId, [...(others.get(personId) ?? []), areaId]);
  return rows.map((row) => ({ ...row, otherAreas: others.get(row.id) ?? [] }));
}

/** The dates on which leaders lead or share posted walks in some months (YYYY-MM), by leader. One query. */
export function datesLed(q: Tx, months: string[]): Map<number, string[]> {
  const found = q.all<{ personId: number; date: string }>(sql`
    SELECT l.person_id AS personId, w.wall_date AS date
    FROM json_each(${JSON.stringify(months)}) m CROSS JOIN walks w CROSS JOIN walk_leaders l
    WHERE w.month = m.value AND w.state IN ('posted', 'closed') AND l.walk_id = w.id`);
  const dates = new Map<number, string[]>();
  for (const { personId, date } of found) {
    const others = dates.get(personId);
    if (others) others.push(date);
    else dates.set(personId, [date]);
  }
  return dates;
}
