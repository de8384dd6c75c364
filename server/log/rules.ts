import { addDays, addMonths } from '../calc/month.js';
import type { SeasonPlan } from '../calc/plan.js';
import { LOOK_BACK_DAYS, longestAllowed, planWeekOf } from '../calc/plan-slots.js';
import type { LogLine } from './store.js';

/** A walk that counts for somebody: one a walk, the longest that is known of it. */
export type OwnWalk = LogLine;

/** The walks that somebody themself walked, the latest first. Signed up and led, or signed up twice, is one walk. Pure. */
export function ownWalks(lines: readonly LogLine[]): OwnWalk[] {
  const byWalk = new Map<number, OwnWalk>();
  for (const one of lines) {
    if (!one.isSelf || one.outcome === 'absent') continue;
    const known = byWalk.get(one.walkId);
    if (!known || one.metres > known.metres) byWalk.set(one.walkId, { ...one, led: one.led || (known?.led ?? false) });
    else if (one.led) byWalk.set(one.walkId, { ...known, led: true });
  }
  return [...byWalk.values()];
}

/** What others of the party walked, by name: the latest first. Pure. */
export function partyWalks(lines: readonly LogLine[]): LogLine[] {
  return lines.filter((one) => !one.isSelf && one.outcome !== 'absent');
}

/** A month of a log. */
export interface LogMonth {
  /** YYYY-MM */
  month: string;
  walks: number;
  metres: number;
  longest: number;
}

const MOST_MONTHS = 12;

/** The months from the first walk to now, the last twelve of them: those without a walk stand with nothing. Pure. @param month YYYY-MM, now */
export function monthsOf(walks: readonly OwnWalk[], month: string): LogMonth[] {
  const first = [month, ...walks.map(({ wallDate }) => wallDate.slice(0, 7))].sort()[0] ?? month;
  const from = [first, addMonths(month, 1 - MOST_MONTHS)].sort().at(-1) ?? month;
  const months: LogMonth[] = [];
  for (let one = from; one <= month; one = addMonths(one, 1)) {
    const own = walks.filter(({ wallDate }) => wallDate.startsWith(one)).map(({ metres }) => metres);
    months.push({ month: one, walks: own.length, metres: own.reduce((sum, metres) => sum + metres, 0), longest: Math.max(0, ...own) });
  }
  return months;
}

/** The longest walk of the last 30 days, today's among them; null where there is none. Pure. @param today YYYY-MM-DD */
export function longestLately(walks: readonly OwnWalk[], today: string): OwnWalk | null {
  const since = addDays(today, -LOOK_BACK_DAYS);
  const lately = walks.filter(({ wallDate, metres }) => wallDate >= since && wallDate <= today && metres > 0);
  return lately.reduce<OwnWalk | null>((far, walk) => (far && far.metres >= walk.metres ? far : walk), null);
}

/** How long the next walk may be by that rule, in metres; null where nothing is known. Pure. */
export function allowedNext(longest: Pick<OwnWalk, 'metres'> | null): number | null {
  return longest && longestAllowed(longest.metres);
}

/** Lengths come in whole metres. */
const ROUNDED_METRES = 0.5;

/** The longest walk that the plan still asks for this week, where it is longer than the log allows: metres; null where it is not. Pure. */
export function planAsksMore(plan: SeasonPlan | null, today: string, allowed: number | null): number | null {
  const week = plan && planWeekOf(plan, today);
  if (!week || typeof week === 'string' || allowed === null) return null;
  const coming = week.walks.filter(({ slot, date }) => slot === 'weekday' || date >= today).map(({ metres }) => metres);
  const most = Math.max(0, ...coming);
  return most > allowed + ROUNDED_METRES ? most : null;
}
