import { sql } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { type Cell, cell } from './rules.js';

export interface AreaMonths {
  id: number;
  slug: string;
  name: string;
  leaders: number;
  months: (Cell & { month: string; walks: number })[];
}

/** Areas by the months shown: posted walks against the floor. Two queries, bounded by the months. */
export function areaMonths(q: Tx, months: string[], floorWalks: number): AreaMonths[] {
  const [first, last] = [months[0] ?? '', months.at(-1) ?? ''];
  const areas = q.all<{ id: number; slug: string; name: string; floor: number | null; leaders: number }>(sql`
    SELECT a.id, a.slug, a.name, a.floor_walks AS floor,
      (SELECT count(*) FROM leaders l WHERE l.area_id = a.id AND l.state = 'approved') AS leaders
    FROM areas a ORDER BY a.name`);
  const counted = q.all<{ areaId: number; month: string; walks: number }>(sql`
    SELECT area_id AS areaId, month, count(*) AS walks FROM walks
    WHERE month BETWEEN ${first} AND ${last} AND state IN ('posted', 'closed') GROUP BY month, area_id`);
  const walks = new Map(counted.map((row) => [`${row.areaId} ${row.month}`, row.walks]));
  return areas.map(({ floor, ...area }) => ({
    ...area,
    months: months.map((month) => {
      const count = walks.get(`${area.id} ${month}`) ?? 0;
      return { month, walks: count, ...cell(count, floor ?? floorWalks) };
    }),
  }));
}
