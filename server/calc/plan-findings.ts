import { addDays } from './month.js';
import type { PlanWalk, PlanWeek, SeasonPlan } from './plan.js';
import { daysFrom } from './plan-calendar.js';
import { longestWithin, planLength } from './plan-grid.js';
import { usualBefore } from './plan-load.js';
import { LOOK_BACK_DAYS, longestAllowed } from './plan-slots.js';

export interface PlanFinding {
  /** Number of the week that it is about. */
  week: number;
  kind: 'too long' | 'no lighter week' | 'peak length' | 'peak day' | 'taper' | 'left out';
  /** What there is, and what to do: whole sentences. */
  words: string;
}

/** Lengths set by hand are kept in whole metres; two of them can be so far from the ratio that was meant. */
const ROUNDED_METRES = 2;
/** A week counts as lighter from a seventh less on; more than four without one are long. Common practice, no source. */
const LIGHTER_SHARE = 0.85;
const MOST_WITHOUT_LIGHTER = 4;
/** Common practice, no source. */
const PEAK_SHARE = { least: 0.8, most: 0.9 } as const;
const PEAK_DAYS = { least: 15, most: 27 } as const;
/** What is left of the usual weeks' distance: Bosquet et al. 2007, 41 to 60 % less. */
const TAPER_SHARE = { least: 0.4, most: 0.59 } as const;

interface Dated extends PlanWalk {
  week: PlanWeek;
}

/** What is to be thought about in a plan that was set by hand; nothing, in one that was not. */
export function findingsOf(plan: SeasonPlan): PlanFinding[] {
  const walks = plan.weeks.flatMap((week) => week.walks.map((walk) => ({ ...walk, week })));
  const longest = walks.reduce<Dated | null>((far, walk) => (far && far.metres > walk.metres + ROUNDED_METRES ? far : walk), null);
  const tooLong = walks.flatMap((walk) => tooLongFor(plan, walks, walk));
  if (!longest) return tooLong;
  return [...tooLong, ...withoutLighter(plan.weeks, longest), ...peak(plan, longest), ...taper(plan.weeks, longest)];
}

function tooLongFor(plan: SeasonPlan, walks: Dated[], walk: Dated): PlanFinding[] {
  // A weekday walk may be on any weekday: only what is before all of them and within 30 days of each counts.
  const [first, last] = walk.slot === 'weekday' ? [walk.week.from, addDays(walk.week.from, 4)] : [walk.date, walk.date];
  const since = addDays(last, -LOOK_BACK_DAYS);
  const before = walks.filter(({ date }) => date >= since && date < first).map(({ metres }) => metres);
  if (addDays(plan.from, -1) >= since) before.push(plan.startMetres);
  const most = longestAllowed(Math.max(0, ...before));
  if (walk.metres <= most + ROUNDED_METRES) return [];
  const { units } = plan.wish;
  const which = `Week ${walk.week.number}, ${DAY_WORDS[walk.slot]}: ${planLength(walk.metres, units)}`;
  const words =
    before.length === 0
      ? `${which} comes after ${LOOK_BACK_DAYS} days without a walk. Put shorter walks before it.`
      : `${which} is more than 10 % longer than the longest walk of the ${LOOK_BACK_DAYS} days before it. Make it ${planLength(longestWithin(most, units), units)} at most, or lengthen the walks before it.`;
  return [{ week: walk.week.number, kind: 'too long', words }];
}

const DAY_WORDS = { weekday: 'weekday', saturday: 'Saturday', sunday: 'Sunday' } as const;

/** Runs of weeks without a lighter one, up to the longest walk: each is said once, by its last week. */
function withoutLighter(weeks: PlanWeek[], longest: Dated): PlanFinding[] {
  const found: PlanFinding[] = [];
  let first = 1;
  let full = 0;
  const close = (last: number) => {
    if (last - first + 1 <= MOST_WITHOUT_LIGHTER) return;
    const words = `Weeks ${first} to ${last} have no lighter week among them. Make every fourth about a quarter shorter than the one before it.`;
    found.push({ week: last, kind: 'no lighter week', words });
  };
  for (const { number, metres } of weeks.slice(0, longest.week.number)) {
    if (metres > LIGHTER_SHARE * full) full = metres;
    else {
      close(number - 1);
      first = number + 1;
    }
  }
  close(longest.week.number);
  return found;
}

function peak({ wish }: SeasonPlan, { week, date, metres }: Dated): PlanFinding[] {
  const found: PlanFinding[] = [];
  const { least, most } = { least: PEAK_SHARE.least * wish.dayMetres, most: PEAK_SHARE.most * wish.dayMetres };
  const what = `The longest walk, ${planLength(metres, wish.units)} in week ${week.number},`;
  if (metres < least - ROUNDED_METRES || metres > most + ROUNDED_METRES) {
    // Rounded away from the bound: 79.6 % is not said to be 80.
    const [toWhole, change] = metres < least ? [Math.floor, 'Lengthen it'] : [Math.ceil, 'Shorten it'];
    const share = toWhole((metres / wish.dayMetres) * 100);
    const words = `${what} is ${share} % of a day of the event. ${change}: 80 to 90 % is usual.`;
    found.push({ week: week.number, kind: 'peak length', words });
  }
  const days = daysFrom(date, wish.eventDay);
  if (days < PEAK_DAYS.least || days > PEAK_DAYS.most) {
    const where = days < PEAK_DAYS.least ? 'too near to rest from' : 'a long time';
    const words = `${what} is ${days} ${days === 1 ? 'day' : 'days'} before the event: ${where}. About three weeks before it is usual.`;
    found.push({ week: week.number, kind: 'peak day', words });
  }
  return found;
}

/** The weeks wholly between the longest walk's and the event's, against the usual ones before. */
function taper(weeks: PlanWeek[], longest: Dated): PlanFinding[] {
  const totals = weeks.map(({ metres }) => metres);
  const tapering = totals.slice(longest.week.number, -1);
  if (tapering.length === 0) return [];
  const usual = usualBefore(totals.slice(0, longest.week.number));
  const share = tapering.reduce((sum, metres) => sum + metres, 0) / tapering.length / usual;
  const slack = ROUNDED_METRES / usual;
  if (share >= TAPER_SHARE.least - slack && share <= TAPER_SHARE.most + slack) return [];
  const toWhole = share > TAPER_SHARE.most ? Math.floor : Math.ceil;
  const less = share > 1 ? 'no less' : `${toWhole((1 - share) * 100)} % less`;
  const change = share > TAPER_SHARE.most ? 'Shorten its walks, and keep their number' : 'Lengthen its walks a little';
  const words = `After the longest walk a week has ${less} than the full weeks before. ${change}: 41 to 60 % less is best.`;
  return [{ week: longest.week.number + 1, kind: 'taper', words }];
}
