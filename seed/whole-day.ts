import { addDays } from '../server/calc/month.js';
import { sun } from '../server/calc/sun.js';
import { wallOf } from '../server/calc/zone.js';
import { MILLBROOK } from './areas.js';
import { clock, minutes } from './days.js';
import type { Planned } from './plan.js';
import { WHOLE_DAY } from './routes.js';

/** So far ahead that the walks of the coming weeks, which have stories to tell, stay as they are. */
const DAYS_AHEAD = 24;
const EARLIEST = minutes('06:30');
const QUARTER = 15;

/** The plan with a whole day of the event in it: on one of Millbrook's Saturdays to come, from the first light. */
export function withWholeDay(planned: Planned[], today: string): Planned[] {
  const from = addDays(today, DAYS_AHEAD);
  const day = planned.find((walk) => walk.area === MILLBROOK && walk.route.kind === 'long' && walk.date >= from);
  return planned.map((walk) => (walk === day ? wholeDayOn(walk) : walk));
}

function wholeDayOn(walk: Planned): Planned {
  const { lat, lon } = WHOLE_DAY.point;
  const { dawn } = sun(lat, lon, walk.date, walk.area.zone);
  const light = dawn === null ? EARLIEST : minutes(wallOf(dawn, walk.area.zone).time);
  const gather = Math.max(EARLIEST, Math.ceil((light + 1) / QUARTER) * QUARTER);
  return { ...walk, route: WHOLE_DAY, gather: clock(gather), setOff: clock(gather + QUARTER) };
}
