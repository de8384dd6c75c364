import type { ForecastGap, ForecastLeader } from '../../server/calc/forecast.js';
import { addDays } from '../../server/calc/month.js';

/** A leader of area 1 who can do any day and length, promised ten walks, kept eight of them, and has two left in March 2027. */
export function leader(changed: Partial<ForecastLeader> & { id: number }): ForecastLeader {
  return {
    homeAreaId: 1,
    areaIds: [],
    days: [],
    shortestMetres: null,
    longestMetres: null,
    busyDates: new Set(),
    left: { '2027-03': 2 },
    promised: 10,
    kept: 8,
    ...changed,
  };
}

/** A gap in area 1 on Saturday, March 6, 2027. */
export function gap(changed: Partial<ForecastGap> = {}): ForecastGap {
  const dates = changed.dates ?? ['2027-03-06'];
  return { areaId: 1, month: (dates[0] ?? '').slice(0, 7), dates, metres: 16_000, ...changed };
}

/** So many gaps of an area, a day each from the first of a month on. */
export function gapsFrom(month: string, count: number, areaId = 1): ForecastGap[] {
  return Array.from({ length: count }, (_, day) => gap({ areaId, month, dates: [addDays(`${month}-01`, day)] }));
}
