import { type SeasonPlan, seasonPlan } from '../calc/plan.js';
import type { Tx } from '../db/open.js';
import type { GroupSettings } from '../settings/rules.js';

/** The season plan that is in force; null where no event, or no length of its days, is set. */
export function planInForce(_q: Tx, settings: GroupSettings): SeasonPlan | null {
  const { eventDay, eventDays, eventDayMetres, seasonWeeks, weekdayWalks, units } = settings;
  if (eventDay === '' || eventDayMetres === 0) return null;
  return seasonPlan({ eventDay, eventDays, dayMetres: eventDayMetres, weeks: seasonWeeks, weekdayWalks, units });
}
