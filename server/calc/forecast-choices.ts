import { weekdayOf } from './assign-days.js';
import { daysFrom } from './plan-calendar.js';

/** A leader, as far as a forecast goes. */
export interface ForecastLeader {
  id: number;
  homeAreaId: number;
  /** Other areas they go to. */
  areaIds: readonly number[];
  /** Days of the week they can do: 1 is Monday, 7 Sunday; none: any. */
  days: readonly number[];
  shortestMetres: number | null;
  longestMetres: number | null;
  /** Dates on which they lead already, YYYY-MM-DD. */
  busyDates: ReadonlySet<string>;
  /** By month (YYYY-MM): walks promised that are not posted yet. */
  left: Readonly<Record<string, number>>;
  /** Walks promised in months that are over, and how many of those were led. */
  promised: number;
  kept: number;
}

/** A need without a walk. */
export interface ForecastGap {
  areaId: number;
  /** The month it counts for, YYYY-MM. */
  month: string;
  /** The days it may still be on, YYYY-MM-DD, in order. */
  dates: readonly string[];
  /** Null where any length will do. */
  metres: number | null;
}

/** One leader's month: the walks that are left of the promise, and the gaps they could go to, those to be taken first at the front. */
export interface Turn {
  leader: ForecastLeader;
  month: string;
  walks: number;
  choices: Choice[];
}

/** A gap by its place among them, and the days on which this leader could lead it, counted from the first of all. */
export interface Choice {
  gap: number;
  days: number[];
}

/**
 * Who could fill what, in the order in which gaps are taken: months one after the other, in each first the leaders who have the fewest gaps to choose from;
 * of those gaps, first the home area's, then the others', each in the order given. Pure. @param gaps the most urgent first
 */
export function turnsOf(leaders: readonly ForecastLeader[], gaps: readonly ForecastGap[]): Turn[] {
  const offered = offersOf(gaps);
  const turns = leaders.flatMap((leader) =>
    Object.entries(leader.left)
      .filter(([, walks]) => walks > 0)
      .map(([month, walks]): Turn => ({ leader, month, walks, choices: choicesOf(leader, month, offered) })),
  );
  return turns
    .filter(({ choices }) => choices.length > 0)
    .sort((a, b) => (a.month < b.month ? -1 : a.month > b.month ? 1 : a.choices.length - b.choices.length || a.leader.id - b.leader.id));
}

interface Day {
  date: string;
  weekday: number;
  /** Since the first day of all gaps. */
  count: number;
}

/** A gap in one month, with its days there. */
interface Offer {
  gap: number;
  metres: number | null;
  days: Day[];
}

/** Offers by area and month, in the order of the gaps. A week's gap may have days in two months, and stands in both. */
function offersOf(gaps: readonly ForecastGap[]): Map<string, Offer[]> {
  const offered = new Map<string, Offer[]>();
  const dayOf = days(gaps);
  for (const [gap, { areaId, dates, metres }] of gaps.entries()) {
    const byMonth = new Map<string, Offer>();
    for (const date of dates) {
      const month = date.slice(0, 7);
      const day = dayOf(date);
      const known = byMonth.get(month);
      if (known) known.days.push(day);
      else byMonth.set(month, { gap, metres, days: [day] });
    }
    for (const [month, offer] of byMonth) {
      const key = keyOf(areaId, month);
      const others = offered.get(key);
      if (others) others.push(offer);
      else offered.set(key, [offer]);
    }
  }
  return offered;
}

/** Works each date out once. */
function days(gaps: readonly ForecastGap[]): (date: string) => Day {
  let first = '9999-12-31';
  for (const { dates } of gaps) for (const date of dates) if (date < first) first = date;
  const known = new Map<string, Day>();
  return (date) => {
    const day = known.get(date) ?? { date, weekday: weekdayOf(date), count: daysFrom(first, date) };
    known.set(date, day);
    return day;
  };
}

function keyOf(areaId: number, month: string): string {
  return `${areaId} ${month}`;
}

function choicesOf(leader: ForecastLeader, month: string, offered: ReadonlyMap<string, Offer[]>): Choice[] {
  const areas = new Set([leader.homeAreaId, ...leader.areaIds]);
  const away = [...areas].slice(1).flatMap((areaId) => offered.get(keyOf(areaId, month)) ?? []);
  const offers = [...(offered.get(keyOf(leader.homeAreaId, month)) ?? []), ...away.sort((a, b) => a.gap - b.gap)];
  const choices: Choice[] = [];
  for (const { gap, metres, days } of offers) {
    if (metres !== null && (metres < (leader.shortestMetres ?? 0) || metres > (leader.longestMetres ?? metres))) continue;
    const own = days.filter((day) => canLead(leader, day)).map(({ count }) => count);
    if (own.length > 0) choices.push({ gap, days: own });
  }
  return choices;
}

function canLead({ days, busyDates }: ForecastLeader, { date, weekday }: Day): boolean {
  return (days.length === 0 || days.includes(weekday)) && !busyDates.has(date);
}
