import { type Slotted, slotOf, weekdayOf } from './assign-days.js';
import { distance } from './geodesy.js';
import type { Id } from './ids.js';

/** A leader, as far as proposals go. */
export interface AssignLeader {
  id: number;
  homeAreaId: number;
  /** Other areas they go to. */
  areaIds: readonly number[];
  /** The centre of the home area, degrees. */
  lat: number;
  lon: number;
  /** Days of the week they can do: 1 is Monday, 7 Sunday. */
  days: readonly number[];
  shortestMetres: number | null;
  longestMetres: number | null;
  /** By month (YYYY-MM): walks promised, and how many of them are left (below 0 where more are led). A month that is not here is one nobody may ask them for. */
  months: Readonly<Record<string, { pledged: number; left: number }>>;
  ledThisSeason: number;
  /** Promised from the season's start until now. */
  pledgedThisSeason: number;
  /** Dates (YYYY-MM-DD) on which they lead already. */
  busyDates: readonly string[];
  /** Gaps they said no to. */
  notFor?: readonly Id[];
}

/** A need without a walk. */
export interface Gap {
  id: Id;
  areaId: number;
  lat: number;
  lon: number;
  /** The days of one week, one or several, that it may be on (YYYY-MM-DD). */
  dates: readonly string[];
  /** Null: any length will do. */
  metres: number | null;
  /** How much it matters that this one is filled: a whole number, 1 or more. */
  weight: number;
}

export interface AssignRules {
  /** Walks a month that a leader may be asked for beyond the pledge. */
  overPledge: number;
  /** Whether one walk is enough for a leader's weekend. */
  oneAWeekend: boolean;
  /** From the centre of the leader's home area; null for no bound. */
  farthestMetres: number | null;
}

export interface AssignInput {
  leaders: readonly AssignLeader[];
  gaps: readonly Gap[];
  rules: AssignRules;
}

/** Why a leader can't lead a gap, in the order they are looked at: the later, the nearer they came. */
export const WHY_NOT = ['area', 'far', 'length', 'day', 'excused', 'busy', 'weekend', 'pledge', 'declined'] as const;
export type WhyNot = (typeof WHY_NOT)[number];

/** A leader who could lead a gap. */
export interface Candidate extends Slotted {
  leader: AssignLeader;
  gap: Gap;
  /** The month it would count for. */
  month: string;
  /** The gap's dates in that month which they can do, the earliest first. */
  dates: string[];
  metresAway: number;
}

/** The most walks a leader may be asked for in a month. */
export function mostInMonth(leader: AssignLeader, month: string, rules: AssignRules): number {
  const pledge = leader.months[month];
  return pledge ? Math.max(0, pledge.left + rules.overPledge) : 0;
}

/** Null where the leader could lead the gap, or why not. @throws RangeError for a date that is none */
export function eligible(leader: AssignLeader, gap: Gap, rules: AssignRules): WhyNot | null {
  const found = candidate(leader, gap, rules);
  return typeof found === 'string' ? found : null;
}

/** A leader and a gap as a pair that could be, or why not. Where the gap's dates lie in two months, the first in which they can be asked is taken. */
export function candidate(leader: AssignLeader, gap: Gap, rules: AssignRules): Candidate | WhyNot {
  if (gap.areaId !== leader.homeAreaId && !leader.areaIds.includes(gap.areaId)) return 'area';
  const metresAway = Math.round(distance(leader.lat, leader.lon, gap.lat, gap.lon));
  if (rules.farthestMetres !== null && metresAway > rules.farthestMetres) return 'far';
  if (gap.metres !== null && (gap.metres < (leader.shortestMetres ?? 0) || gap.metres > (leader.longestMetres ?? gap.metres)))
    return 'length';
  const dates = datesOf(leader, gap, rules);
  if (typeof dates === 'string') return dates;
  if (leader.notFor?.includes(gap.id)) return 'declined';
  const month = monthOfDate(dates[0] ?? '');
  const counted = dates.filter((date) => monthOfDate(date) === month);
  const slots = [...new Set(counted.map((date) => slotOf(date, rules.oneAWeekend)))];
  return { leader, gap, month, dates: counted, slots, metresAway };
}

/** The dates of a gap which a leader can do, the earliest first, or why there is none. */
function datesOf(leader: AssignLeader, gap: Gap, rules: AssignRules): string[] | WhyNot {
  const busySlots = new Set(leader.busyDates.map((date) => slotOf(date, rules.oneAWeekend)));
  const sieves: [WhyNot, (date: string) => boolean][] = [
    ['day', (date) => leader.days.includes(weekdayOf(date))],
    ['excused', (date) => leader.months[monthOfDate(date)] !== undefined],
    ['busy', (date) => !leader.busyDates.includes(date)],
    ['weekend', (date) => !busySlots.has(slotOf(date, rules.oneAWeekend))],
    ['pledge', (date) => mostInMonth(leader, monthOfDate(date), rules) > 0],
  ];
  let dates = gap.dates.toSorted();
  for (const [whyNot, keeps] of sieves) {
    dates = dates.filter(keeps);
    if (dates.length === 0) return whyNot;
  }
  return dates;
}

function monthOfDate(date: string): string {
  return date.slice(0, 7);
}
