import type { SeasonPlan } from '../calc/plan.js';
import { suitsFields } from '../plan/on-walks.js';
import type { Services } from '../services.js';
import { finishTimes } from './finish.js';
import { type TimetableRow, withStops } from './timetable.js';
import { walkTitle } from './title.js';

/** The coming walks for other programs. Instants are ISO 8601 UTC, lengths metres; nobody's name or number is in it. */
export function walksJson(rows: TimetableRow[], plan: SeasonPlan | null, services: Services) {
  const settings = services.settings();
  return {
    group: settings.groupName,
    walks: rows.map((row) => ({
      id: row.id,
      url: `${services.config.baseUrl}/walks/${row.id}`,
      state: row.state,
      title: walkTitle(row, settings.units),
      area: row.areaSlug,
      gather: new Date(row.gatherAt).toISOString(),
      setOff: new Date(row.setOffAt).toISOString(),
      finish: new Date(finishTimes(withStops(row), settings).slowest).toISOString(),
      zone: row.zone,
      date: row.wallDate,
      meetingPoint: row.meetingPoint,
      landmark: row.landmark,
      lat: row.lat,
      lon: row.lon,
      distanceMetres: row.distanceMetres,
      ascentMetres: row.ascentMetres,
      surfaces: JSON.parse(row.surfaces) as string[],
      stepFree: row.stepFree === 1,
      capacity: row.capacity,
      placesLeft: Math.max(0, row.capacity - row.confirmed),
      waiting: row.waiting,
      ...suitsFields(plan, row, settings),
      ...(row.cancelReason === null ? {} : { cancelled: row.cancelReason }),
    })),
  };
}
