import { canBeWished, type SeasonWish } from '../calc/plan.js';
import type { GroupSettings } from '../settings/rules.js';

/** What of the settings a season is worked out from. */
export type WishSettings = Pick<GroupSettings, 'eventDay' | 'eventDays' | 'eventDayMetres' | 'seasonWeeks' | 'weekdayWalks' | 'units'>;

/** What the group trains for; null where it has set no event, or not how far a day of it is. Pure. */
export function wishOf(settings: WishSettings): SeasonWish | null {
  const { eventDay, eventDays, eventDayMetres, seasonWeeks, weekdayWalks, units } = settings;
  if (eventDay === '' || eventDayMetres === 0) return null;
  const wish = { eventDay, eventDays, dayMetres: eventDayMetres, weeks: seasonWeeks, weekdayWalks, units };
  // Settings are checked as they are saved; one put into the table by hand must not take every page down.
  return canBeWished(wish) ? wish : null;
}
