import { slotOf, weekdayOf } from '../calc/assign-days.js';
import type { AreaCoverage } from '../coverage/coverage.js';
import type { Covered } from '../coverage/covered.js';

/** A walk a leader is asked for, as far as the rules go. */
export interface Asked {
  id: number;
  toPersonId: number;
  /** Whether they are an approved leader still. */
  approved: boolean;
  need: string;
  areaId: number;
  week: string;
  month: string;
  dayKind: string;
  date: string;
  state: 'open' | 'not this time' | 'ended';
  /** When they were asked, ms. */
  askedAt: number;
}

/**
 * How an ask stands.
 * - open: asked, and not answered
 * - posted: they posted a walk since that meets such a need
 * - not this time: their answer. ended: taken back, or they lead no walks any more
 * - met: another walk meets the need. past: no day of it is left. dropped: nobody needs it any more
 */
export type AskStanding = 'open' | 'posted' | 'not this time' | 'ended' | 'met' | 'past' | 'dropped';

export interface Stands {
  standing: AskStanding;
  /** The walk that came of it; null but for `posted`. */
  walkId: number | null;
}

/** Who leads a walk, and when it was posted, ms. */
export interface PostedBy {
  leaders: number[];
  postedAt: number;
}

/** Needs of one area, time and kind are alike: a walk for one of them meets whichever matching gives it. */
export function kindOfNeed({ areaId, week, month, dayKind }: Pick<Asked, 'areaId' | 'week' | 'month' | 'dayKind'>): string {
  return `${areaId} ${week === '' ? month : week} ${dayKind}`;
}

/** How each ask stands, by its number. Pure. @param posted the walks that meet needs, by number @param asks in the order they were made */
export function standings(asks: readonly Asked[], coverage: AreaCoverage[], posted: ReadonlyMap<number, PostedBy>): Map<number, Stands> {
  const days = new Map(coverage.map(({ area, today }) => [area.id, today]));
  const covered = coverage.flatMap((one) => one.covered);
  const needs = new Map(covered.map((one) => [one.need.id, one]));
  const walks = walksByKind(covered);
  const used = new Set<number>();
  const cameOf = (ask: Asked): number | null => {
    const isTheirs = (id: number) => !used.has(id) && (posted.get(id)?.leaders.includes(ask.toPersonId) ?? false);
    const found = walks.get(kindOfNeed(ask))?.find((id) => isTheirs(id) && (posted.get(id)?.postedAt ?? 0) >= ask.askedAt);
    if (found !== undefined) used.add(found);
    return found ?? null;
  };
  return new Map(
    asks.map((ask) => {
      const walkId = cameOf(ask);
      const today = days.get(ask.areaId) ?? '';
      return [ask.id, { walkId, standing: walkId === null ? standing(ask, needs.get(ask.need), today) : 'posted' }];
    }),
  );
}

/** The walks that meet needs, by the kind of need. */
function walksByKind(covered: Covered[]): Map<string, number[]> {
  const walks = new Map<string, number[]>();
  for (const { need, walk } of covered) {
    if (!walk) continue;
    const kind = kindOfNeed(need);
    const others = walks.get(kind);
    if (others) others.push(walk.id);
    else walks.set(kind, [walk.id]);
  }
  return walks;
}

function standing(ask: Asked, found: Covered | undefined, today: string): AskStanding {
  if (ask.state === 'not this time') return 'not this time';
  if (ask.state === 'ended' || !ask.approved) return 'ended';
  if (found?.walk) return 'met';
  if (found ? !found.need.days.some((day) => day > today) : ask.date <= today) return 'past';
  return found ? 'open' : 'dropped';
}

/** Saturday of the weekend that a date lies in; null from Monday to Friday. */
function weekendOf(date: string): string | null {
  return weekdayOf(date) > 5 ? slotOf(date, true) : null;
}

/** Whether a "not this time" speaks for a need, too: that very one, and any on the weekend of the day that was asked for. Pure. */
export function speaksFor(declined: Pick<Asked, 'need' | 'date'>, need: { id: string | number; dates: readonly string[] }): boolean {
  if (declined.need === need.id) return true;
  const weekend = weekendOf(declined.date);
  return weekend !== null && need.dates.some((date) => weekendOf(date) === weekend);
}
