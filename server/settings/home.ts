import { monthOf } from '../calc/month.js';
import type { Services } from '../services.js';

/** The group's own zone, for what has no place of its own: that of its first area. */
export function homeZone({ db }: Pick<Services, 'db'>): string {
  const first = db.q.query.areas.findFirst({ columns: { zone: true }, orderBy: (area, { asc }) => asc(area.id) }).sync();
  return first?.zone ?? 'UTC';
}

/** The month it is now for the group. */
export function monthNow(services: Services): string {
  return monthOf(services.now(), homeZone(services));
}
