import { slotOf, weekdayOf } from '../calc/assign-days.js';
import type { AreaCoverage } from '../coverage/coverage.js';
import type { Covered } from '../coverage/covered.js';
import { type Gap, gapsOf } from '../coverage/gaps.js';
import type { AreaNeed } from '../coverage/needs-of.js';

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
  /** What it is for now; null but for `open`. */
  wanted: WantedNow | null;
}

/** The need that was asked for, or one alike that is still missing, as the area has it now; and the day to lead it on: the one that was asked for, or, where that is over, the next. */
export interface WantedNow {
  need: AreaNeed;
  date: string;
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
  const came = walksCameOf(asks, covered, posted);
  const waiting = asks.filter((ask) => !came.has(ask.id) && ask.state === 'open' && ask.approved);
  const wanted = wantedBy(waiting, needs, coverage);
  return new Map(
    asks.map((ask) => {
      const walkId = came.get(ask.id) ?? null;
      const need = wanted.get(ask.id) ?? null;
      const otherwise = () => standing(ask, needs.get(ask.need), days.get(ask.areaId) ?? '');
      return [ask.id, { walkId, wanted: need, standing: walkId !== null ? 'posted' : need ? 'open' : otherwise() }];
    }),
  );
}

/** The walk that came of each ask, by the ask's number. A walk comes of one: of one that is open before others, which were answered or taken back. */
function walksCameOf(asks: readonly Asked[], covered: Covered[], posted: ReadonlyMap<number, PostedBy>): Map<number, number> {
  const walks = walksByKind(covered);
  const used = new Set<number>();
  const came = new Map<number, number>();
  const [open, others] = [asks.filter(({ state }) => state === 'open'), asks.filter(({ state }) => state !== 'open')];
  for (const ask of [...open, ...others]) {
    const isTheirs = (id: number) => !used.has(id) && (posted.get(id)?.leaders.includes(ask.toPersonId) ?? false);
    const found = walks.get(kindOfNeed(ask))?.find((id) => isTheirs(id) && (posted.get(id)?.postedAt ?? 0) >= ask.askedAt);
    if (found === undefined) continue;
    used.add(found);
    came.set(ask.id, found);
  }
  return came;
}

/** The missing need that each ask is for: its own; or, where another's walk was given to that, one of the same time and length that nobody else is asked for. */
function wantedBy(waiting: Asked[], needs: ReadonlyMap<string, Covered>, coverage: AreaCoverage[]): Map<number, WantedNow> {
  const missing = new Map(coverage.flatMap(gapsOf).map((gap) => [gap.need.id, gap]));
  const wanted = new Map<number, WantedNow>();
  for (const ask of waiting) {
    const own = missing.get(ask.need);
    if (own) wanted.set(ask.id, on(own, ask));
  }
  for (const { need } of wanted.values()) missing.delete(need.id);
  const left = [...missing.values()];
  for (const ask of waiting) {
    const found = needs.get(ask.need);
    if (!found?.walk) continue;
    const index = left.findIndex(({ need }) => kindOfNeed(need) === kindOfNeed(ask) && need.bestMetres === found.need.bestMetres);
    const [alike] = index < 0 ? [] : left.splice(index, 1);
    if (alike) wanted.set(ask.id, on(alike, ask));
  }
  return wanted;
}

function on({ need, date, today }: Gap, asked: Pick<Asked, 'date'>): WantedNow {
  return { need, date: asked.date > today && need.days.includes(asked.date) ? asked.date : date };
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

/** Of an ask that no walk came of, and whose need is not missing. */
function standing(ask: Asked, found: Covered | undefined, today: string): AskStanding {
  if (ask.state === 'not this time') return 'not this time';
  if (ask.state === 'ended' || !ask.approved) return 'ended';
  if (found?.walk) return 'met';
  return found || ask.date <= today ? 'past' : 'dropped';
}

/** Saturday of the weekend that a date lies in; null from Monday to Friday. */
function weekendOf(date: string): string | null {
  return weekdayOf(date) > 5 ? slotOf(date, true) : null;
}

/** Whether a "not this time" speaks for a need, too: that very one, another of the area for that day, and any on the weekend of the day that was asked for. Pure. */
export function speaksFor(
  declined: Pick<Asked, 'need' | 'areaId' | 'date'>,
  need: { id: string | number; areaId: number; dates: readonly string[] },
): boolean {
  if (declined.need === need.id) return true;
  if (declined.areaId === need.areaId && need.dates.includes(declined.date)) return true;
  const weekend = weekendOf(declined.date);
  return weekend !== null && need.dates.some((date) => weekendOf(date) === weekend);
}
