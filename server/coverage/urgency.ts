import { daysFrom } from '../calc/plan-calendar.js';
import type { AreaCoverage } from './coverage.js';
import { byDate, type Gap, gapsOf } from './gaps.js';

const WEEK_DAYS = 7;
/** So many weeks ahead, a gap is not urgent for its time. */
const FAR_WEEKS = 12;
const POINTS = { time: 50, unmet: 30, walkers: 20 } as const;

/** What makes a gap urgent. */
export interface Pressure {
  /** Whole weeks until its day. */
  weeksLeft: number;
  /** The share of the area's needs still to come that are unmet, 0 to 1. */
  unmetShare: number;
  /** The area's walkers, next to those of the area that has most, 0 to 1. */
  walkerShare: number;
}

/**
 * How urgent a gap is, 0 to 100: up to 50 for its time (all in the last week, nothing twelve weeks ahead), up to 30 for the share of the area's needs that
 * are unmet, up to 20 for the walkers who wait for them. Our own weights, common sense and no source. Pure.
 */
export function urgency({ weeksLeft, unmetShare, walkerShare }: Pressure): number {
  const soon = Math.max(0, 1 - weeksLeft / FAR_WEEKS);
  return Math.round(POINTS.time * soon + POINTS.unmet * unmetShare + POINTS.walkers * walkerShare);
}

export interface UrgentGap extends Gap {
  weeksLeft: number;
  score: number;
}

/** Gaps that can still be filled, the most urgent first, then by day. @param walkers lately, by area's number */
export function byUrgency(coverage: AreaCoverage[], walkers: ReadonlyMap<number, number>): UrgentGap[] {
  const most = Math.max(1, ...walkers.values());
  const weeksTo = weeksCounter();
  return coverage
    .flatMap((one) => {
      const gaps = gapsOf(one);
      const met = one.covered.filter(({ need, walk }) => walk && (need.days.at(-1) ?? '') > one.today).length;
      const unmetShare = gaps.length / Math.max(1, gaps.length + met);
      const walkerShare = (walkers.get(one.area.id) ?? 0) / most;
      return gaps.map((gap) => {
        const weeksLeft = weeksTo(gap.today, gap.date);
        return { ...gap, weeksLeft, score: urgency({ weeksLeft, unmetShare, walkerShare }) };
      });
    })
    .sort((a, b) => b.score - a.score || byDate(a, b));
}

/** Whole weeks between two dates; each pair is worked out once, since many areas lack walks on the same days. */
function weeksCounter(): (from: string, to: string) => number {
  const known = new Map<string, Map<string, number>>();
  return (from, to) => {
    const ahead = known.get(from) ?? new Map<string, number>();
    known.set(from, ahead);
    const weeks = ahead.get(to) ?? Math.floor(daysFrom(from, to) / WEEK_DAYS);
    ahead.set(to, weeks);
    return weeks;
  };
}
