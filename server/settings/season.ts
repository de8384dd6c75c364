import type { GroupSettings } from './rules.js';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;
/** A day is over everywhere on Earth twelve hours after it is in UTC. */
const EVERYWHERE_MS = 12 * HOUR_MS;

/** When the season is over: the end of the event's last day, wherever one is, ms; null where the group has set no event. Pure. */
export function seasonEnd({ eventDay, eventDays }: Pick<GroupSettings, 'eventDay' | 'eventDays'>): number | null {
  return eventDay === '' ? null : Date.parse(eventDay) + eventDays * DAY_MS + EVERYWHERE_MS;
}

/** Since when the season runs that it is now: the end of the last one that is over, ms; null where none is. Pure. */
export function seasonBegan(settings: Pick<GroupSettings, 'eventDay' | 'eventDays' | 'pastSeasonEnd'>, now: number): number | null {
  const end = seasonEnd(settings);
  const began = Math.max(settings.pastSeasonEnd, end !== null && end <= now ? end : 0);
  return began === 0 ? null : began;
}
