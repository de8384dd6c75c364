import { monthOf } from '../calc/month.js';
import type { Services } from '../services.js';

/** The month it is now for the group: in the zone of its first area. */
export function monthNow(services: Services): string {
  const first = services.db.q.query.areas.findFirst({ columns: { zone: true }, orderBy: (area, { asc }) => asc(area.id) }).sync();
  return monthOf(services.now(), first?.zone ?? 'UTC');
}
