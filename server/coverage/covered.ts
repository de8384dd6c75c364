import { matchNeeds } from '../calc/match.js';
import { addDays } from '../calc/month.js';
import type { SeasonPlan } from '../calc/plan.js';
import { type DayKind, dayKindOf, isFree, weekdayOf } from '../calc/plan-calendar.js';
import type { AreaNeed } from './needs-of.js';

/** A walk as coverage counts it: posted or closed. */
export interface CountedWalk {
  id: number;
  /** Of the gathering, in the walk's own zone, YYYY-MM-DD. */
  date: string;
  /** Of the set-off, YYYY-MM. */
  month: string;
  metres: number;
}

/** A need, and the walk that meets it; null: a gap. */
export interface Covered {
  need: AreaNeed;
  walk: CountedWalk | null;
}

export interface Cover {
  /** In the order of their ids. */
  covered: Covered[];
  /** Walks that meet no need. */
  spare: CountedWalk[];
}

type Place = { week: string; dayKind: DayKind } | 'outside' | 'free';

/** Says where in a plan a date lies; each date is worked out once. */
export function placer(plan: SeasonPlan | null): (date: string) => Place {
  const known = new Map<string, Place>();
  return (date) => {
    let place = known.get(date);
    if (place === undefined) {
      place = placeOf(plan, date);
      known.set(date, place);
    }
    return place;
  };
}

function placeOf(plan: SeasonPlan | null, date: string): Place {
  if (!plan || date < plan.from || date > plan.to) return 'outside';
  if (isFree(date, plan.wish.eventDay)) return 'free';
  return { week: addDays(date, -weekdayOf(date)), dayKind: dayKindOf(date) };
}

/**
 * One area's needs with the walks that meet them, each at most one. The plan's weeks leave as few needs unmet as can be; walks outside the season meet their month's
 * floor by date, whatever their length. The order that needs and walks come in makes no difference. Pure.
 */
export function cover(needs: AreaNeed[], walks: CountedWalk[], place: (date: string) => Place): Cover {
  const inSeason: { id: number; week: string; dayKind: string; metres: number; walk: CountedWalk }[] = [];
  const outside: CountedWalk[] = [];
  const free: CountedWalk[] = [];
  for (const walk of walks) {
    const at = place(walk.date);
    if (at === 'outside') outside.push(walk);
    else if (at === 'free') free.push(walk);
    else inSeason.push({ id: walk.id, week: at.week, dayKind: at.dayKind, metres: walk.metres, walk });
  }
  const plan = matchNeeds(
    needs.filter((need) => need.week !== ''),
    inSeason,
  );
  const floor = coverFloor(
    needs.filter((need) => need.week === ''),
    outside,
  );
  const covered = [
    ...plan.met.map(({ need, walk }): Covered => ({ need, walk: walk.walk })),
    ...plan.unmet.map((need): Covered => ({ need, walk: null })),
    ...floor.covered,
  ];
  covered.sort((a, b) => (a.need.id < b.need.id ? -1 : 1));
  return { covered, spare: [...plan.spare.map(({ walk }) => walk), ...floor.spare, ...free].sort(byDate) };
}

function coverFloor(needs: AreaNeed[], walks: CountedWalk[]): Cover {
  const left = new Map<string, CountedWalk[]>();
  for (const walk of walks.toSorted(byDate)) {
    const others = left.get(walk.month);
    if (others) others.push(walk);
    else left.set(walk.month, [walk]);
  }
  const covered = needs
    .toSorted((a, b) => (a.id < b.id ? -1 : 1))
    .map((need): Covered => ({ need, walk: left.get(need.month)?.shift() ?? null }));
  return { covered, spare: [...left.values()].flat() };
}

function byDate(a: CountedWalk, b: CountedWalk): number {
  return a.date === b.date ? a.id - b.id : a.date < b.date ? -1 : 1;
}
