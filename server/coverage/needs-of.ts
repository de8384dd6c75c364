import type { Need } from '../calc/match.js';
import type { SeasonPlan } from '../calc/plan.js';
import type { DayKind } from '../calc/plan-calendar.js';
import type { Tolerance } from '../calc/plan-slots.js';
import { type Ask, asksOf } from './asks.js';
import { daysOutside } from './outside.js';

/** What an area wants: walks a week of each kind where the plan has one, and how far from its length they may be. */
export interface AreaWants {
  id: number;
  wants: Record<DayKind, number>;
  tolerance: Tolerance;
  /** Walks a month outside the season. */
  floorWalks: number;
  /** The day the area was added on, in its own zone, YYYY-MM-DD. */
  addedOn: string;
}

/** A walk that an area ought to have. One without a week is of the floor: any length, on any of its days. */
export interface AreaNeed extends Need {
  /** The same for as long as the area wants it: "3 2027-03-01 2 0". */
  id: string;
  areaId: number;
  /** The week's Monday, YYYY-MM-DD; empty for one of the floor. */
  week: string;
  dayKind: DayKind | 'any';
  /** YYYY-MM: each need counts for one month. */
  month: string;
  /** The dates a walk for it may have, in order. */
  days: string[];
  /** The one it is suggested for; null where any will do. */
  day: string | null;
  /** Its place among the needs of its days and kind, from 0. */
  index: number;
}

const ORDER: Record<DayKind, number> = { weekday: 1, saturday: 2, sunday: 3 };
/** The walks an area ought to have in a span of months (YYYY-MM, both counted): the plan's from the week on in which it was added, and the floor. Pure. */
export function needsOf(area: AreaWants, plan: SeasonPlan | null, span: { from: string; to: string; months: string[] }): AreaNeed[] {
  const asked = plan ? asksOf(plan).filter(({ month, last }) => month >= span.from && month <= span.to && last >= area.addedOn) : [];
  return [...asked.flatMap((ask) => weekNeeds(area, ask)), ...span.months.flatMap((month) => floorNeeds(area, plan, month))];
}

function weekNeeds(area: AreaWants, { week, kind, month, days, day, lengths, lengthsFor }: Ask): AreaNeed[] {
  return Array.from({ length: area.wants[kind] }, (_, index) => {
    const bestMetres = lengths[index % lengths.length] ?? 0;
    const { least, most } = lengthsFor(bestMetres, area.tolerance);
    return {
      id: `${area.id} ${week} ${ORDER[kind]} ${index}`,
      areaId: area.id,
      week,
      dayKind: kind,
      month,
      days,
      day,
      index,
      bestMetres,
      leastMetres: least,
      mostMetres: most,
    };
  });
}

/** The floor of a month, in proportion to its days outside the season, to the nearest whole walk; none before the month in which the area was added. */
function floorNeeds(area: AreaWants, plan: SeasonPlan | null, month: string): AreaNeed[] {
  if (area.floorWalks === 0 || month < area.addedOn.slice(0, 7)) return [];
  const { days, share } = daysOutside(plan, month);
  return Array.from({ length: Math.round(area.floorWalks * share) }, (_, index) => ({
    id: `${area.id} ${month} 0 ${String(index).padStart(2, '0')}`,
    areaId: area.id,
    week: '',
    dayKind: 'any',
    month,
    days,
    day: null,
    index,
    leastMetres: 0,
    bestMetres: 0,
    mostMetres: Number.POSITIVE_INFINITY,
  }));
}
