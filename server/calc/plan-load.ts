import type { Units } from './measure.js';
import { nearest, roundings, shortestBefore } from './plan-grid.js';

/** The walks of one week, in steps of the plan's grid (`plan-grid.ts`); 0 where there is none. */
export interface Load {
  weekdays: number;
  weekday: number;
  saturday: number;
  sunday: number;
}

/** Of a day of the event: the middle of the 80 to 90 % that a longest walk is commonly given. Common practice, no source. */
const PEAK_SHARE = 0.85;
/** No plan asks for less at the start, in steps: three miles, five kilometres. Common practice, no source. */
const LEAST_STEPS: Record<Units, number> = { mi: 12, km: 10 };
/** A weekday walk is a third of the Saturday's, within these steps: two to six miles, three to ten kilometres. Common practice, no source. */
const WEEKDAY_SHARE = 1 / 3;
const WEEKDAY_STEPS: Record<Units, { least: number; most: number }> = { mi: { least: 8, most: 24 }, km: { least: 6, most: 20 } };
/** The Sunday's share of the Saturday's walk, from the first to the longest. Common practice, no source. */
const SUNDAY_SHARE = { first: 0.4, last: 2 / 3 } as const;
/** Sundays begin by then at the latest, so that the taper is weighed against weeks that have them. */
const SUNDAYS_BY = 4;
/** The lighter week is the one before it, less about a quarter. Common practice, no source. */
const LIGHTER = { share: 0.75, least: 0.7, most: 0.8 } as const;
/** Shares of the weeks before that the taper's weeks have, by how many they are: on the whole half (Bosquet et al. 2007: 41 to 60 % less). */
const TAPER_SHARES: Record<number, number[]> = { 2: [0.55, 0.45], 3: [0.57, 0.5, 0.43] };
const TAPER = { least: 0.4, most: 0.59 } as const;

/** Numbers of the lighter weeks: every fourth, or, where that would be the one of the longest walk, every fourth from the third on. */
export function isLighter(week: number, peakWeek: number): boolean {
  return week < peakWeek && week % 4 === (peakWeek % 4 === 0 ? 3 : 0);
}

export interface Build {
  /** What a walker should manage at the start, in steps. */
  start: number;
  /** From the first week to the one of the longest walk. */
  loads: Load[];
}

/**
 * The weeks up to the longest walk. Saturdays are worked out backwards from it, each as short as lets the next be no more than 10 % longer; a
 * lighter week leaves the longest of the last 30 days where it was. @param daySteps a day of the event
 */
export function buildUp(daySteps: number, peakWeek: number, wish: { eventDays: number; weekdayWalks: number; units: Units }): Build {
  const peak = nearest(PEAK_SHARE * daySteps, 'fine');
  const least = Math.min(LEAST_STEPS[wish.units], peak);
  const saturdays: number[] = [];
  let start = peak;
  for (let week = peakWeek; week >= 1; week -= 1) {
    if (isLighter(week, peakWeek)) continue;
    saturdays[week] = start;
    start = Math.max(least, shortestBefore(start));
  }
  const loads: Load[] = [];
  for (let week = 1; week <= peakWeek; week += 1) {
    const before = loads[loads.length - 1];
    const saturday = saturdays[week];
    if (saturday !== undefined) loads.push(fullWeek(saturday, sundayShare(week, peakWeek, wish.eventDays), wish));
    else if (before) loads.push(lighterThan(before));
  }
  return { start, loads };
}

/** A Sunday is for an event of more days than one, from the middle of the build-up on. */
function sundayShare(week: number, peakWeek: number, eventDays: number): number {
  const from = Math.min(Math.floor(peakWeek / 2), peakWeek - SUNDAYS_BY) + 1;
  if (eventDays === 1 || week < from) return 0;
  return SUNDAY_SHARE.first + ((SUNDAY_SHARE.last - SUNDAY_SHARE.first) * (week - from)) / (peakWeek - from);
}

function fullWeek(saturday: number, share: number, { weekdayWalks, units }: { weekdayWalks: number; units: Units }): Load {
  const { least, most } = WEEKDAY_STEPS[units];
  const third = Math.min(Math.max(nearest(WEEKDAY_SHARE * saturday, 'coarse'), least), most);
  const sunday = share === 0 ? 0 : nearest(share * saturday, 'coarse');
  return { weekdays: weekdayWalks, weekday: weekdayWalks === 0 ? 0 : third, saturday, sunday };
}

export function stepsIn(load: Load): number {
  return load.weekdays * load.weekday + load.saturday + load.sunday;
}

function lighterThan(before: Load): Load {
  const total = stepsIn(before);
  return scaled(before, LIGHTER.share * total, { least: LIGHTER.least * total, most: LIGHTER.most * total });
}

/** What a week of training comes to before the taper: the mean of the three fullest of the last four weeks' totals, in whatever unit they are. */
export function usualBefore(totals: number[]): number {
  const fullest = totals
    .slice(-4)
    .sort((one, other) => other - one)
    .slice(0, 3);
  return fullest.reduce((sum, total) => sum + total, 0) / fullest.length;
}

/** The weeks between the longest walk's and the event's: shorter walks, as many as before (Bosquet et al. 2007). @param count two or three */
export function taperOff(loads: Load[], count: number): Load[] {
  const usual = usualBefore(loads.map(stepsIn));
  const peak = loads[loads.length - 1] as Load;
  return (TAPER_SHARES[count] ?? []).map((share) => scaled(peak, share * usual, { least: TAPER.least * usual, most: TAPER.most * usual }));
}

/** As many walks as `before` has, each shorter, together about so many steps: the Saturday takes up what rounding left. Round lengths come first. */
function scaled(before: Load, steps: number, bounds: { least: number; most: number }): Load {
  const share = steps / stepsIn(before);
  for (const weekday of roundings(share * before.weekday)) {
    for (const sunday of roundings(share * before.sunday)) {
      for (const saturday of roundings(steps - before.weekdays * weekday - sunday)) {
        const load = { ...before, weekday, saturday, sunday };
        const isLongest = saturday >= Math.max(weekday, sunday) && saturday < before.saturday;
        if (isLongest && stepsIn(load) >= bounds.least && stepsIn(load) <= bounds.most) return load;
      }
    }
  }
  throw new Error(`no shorter week of about ${steps} steps for ${JSON.stringify(before)}`);
}
