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
export function seasonBegan(
  settings: Pick<GroupSettings, 'eventDay' | 'eventDays' | 'eventSetAt' | 'pastSeasonEnd'>,
  now: number,
): number | null {
  const end = seasonEnd(settings);
  const ends = [settings.pastSeasonEnd, end !== null && end > settings.eventSetAt ? end : 0];
  const began = Math.max(0, ...ends.filter((one) => one <= now));
  return began === 0 ? null : began;
}

type SeasonKept = Pick<GroupSettings, 'eventSetAt' | 'pastSeasonEnd' | 'planVersion' | 'planChangedAt'>;

/** What is kept of the season as its settings are saved: the end of one that is over, when other days were set for the event, and that its plan is another. Pure. */
export function seasonKept(before: GroupSettings, after: GroupSettings, now: number): SeasonKept {
  const isSame = before.eventDay === after.eventDay && before.eventDays === after.eventDays;
  const isSamePlan = PLANNED.every((field) => before[field] === after[field]);
  return {
    pastSeasonEnd: seasonBegan(before, now) ?? 0,
    eventSetAt: isSame ? before.eventSetAt : now,
    ...(isSamePlan ? { planVersion: before.planVersion, planChangedAt: before.planChangedAt } : planChanged(before, now)),
  };
}

/** What a plan is worked out from, and the name of the event that its calendar says. */
const PLANNED = ['eventName', 'eventDay', 'eventDays', 'eventDayMetres', 'seasonWeeks', 'weekdayWalks', 'units'] as const;

/** The plan's next version, for whatever changes it. Pure. */
export function planChanged(
  { planVersion }: Pick<GroupSettings, 'planVersion'>,
  now: number,
): Pick<GroupSettings, 'planVersion' | 'planChangedAt'> {
  return { planVersion: planVersion + 1, planChangedAt: now };
}
