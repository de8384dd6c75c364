import { sql } from 'drizzle-orm';
import type { Services } from '../services.js';
import { openRecord } from './record.js';
import type { Counted } from './summary.js';

/**
 * The incidents of walks in some months (YYYY-MM, both in), as far as they are counted. Their kind is sealed, so the records are opened here;
 * nothing but the count leaves, so that no reading of anyone's record is written down. One query.
 */
export function countedBetween(services: Services, from: string, until: string): Counted[] {
  const rows = services.db.q.all<{ id: number; sealed: Buffer; called: number; month: string; areaName: string }>(sql`
    SELECT v.id, v.record_sealed AS sealed, i.called, w.month, a.name AS areaName
    FROM incidents i JOIN walks w ON w.id = i.walk_id JOIN areas a ON a.id = w.area_id
      JOIN incident_versions v ON v.incident_id = i.id AND v.version = (SELECT max(l.version) FROM incident_versions l WHERE l.incident_id = i.id)
    WHERE w.month BETWEEN ${from} AND ${until}`);
  return rows.map(({ id, sealed, called, month, areaName }) => ({
    kind: openRecord(services, id, sealed)?.kind ?? null,
    called: called === 1,
    month,
    areaName,
  }));
}
