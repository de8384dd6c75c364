import { addDays, addMonths } from '../calc/month.js';
import type { SeasonPlan } from '../calc/plan.js';
import { wallOf } from '../calc/zone.js';
import type { Tx } from '../db/open.js';
import { planInForce } from '../plan/store.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import { type Cover, cover, placer } from './covered.js';
import { needsOf } from './needs-of.js';
import { countedWalks, type WantingArea, wantingAreas } from './store.js';

/** An area with its needs in the months asked for, the walks that meet them, and the walks that meet none. */
export interface AreaCoverage extends Cover {
  area: WantingArea;
  /** The date it is there, YYYY-MM-DD. */
  today: string;
}

/** What coverage is worked out from, besides the database. */
export interface CoverageTerms {
  plan: SeasonPlan | null;
  settings: GroupSettings;
  /** The date it is in a zone, YYYY-MM-DD. */
  todayIn: (zone: string) => string;
}

/** What coverage is worked out from as it stands now; the date in a zone is worked out once. One query. */
export function termsNow(q: Tx, { settings, now }: Pick<Services, 'settings' | 'now'>): CoverageTerms {
  const [group, at] = [settings(), now()];
  const todays = new Map<string, string>();
  const todayIn = (zone: string) => {
    const known = todays.get(zone) ?? wallOf(at, zone).date;
    todays.set(zone, known);
    return known;
  };
  return { plan: planInForce(q, group), settings: group, todayIn };
}

/** A week's walks may belong to the month before or after that of their day. */
const WEEK_DAYS = 7;

/**
 * All areas by name, or one, over months that follow each other (YYYY-MM). Two queries, whose cost follows the months asked for and not the years stored.
 */
export function coverageOf(
  q: Tx,
  { plan, settings, todayIn }: CoverageTerms,
  months: string[],
  areaId: number | null = null,
): AreaCoverage[] {
  const [from, to] = [months[0] ?? '', months.at(-1) ?? ''];
  const walks = countedWalks(q, addDays(`${from}-01`, -WEEK_DAYS), addDays(`${addMonths(to, 1)}-01`, WEEK_DAYS), areaId);
  const place = placer(plan);
  const inSpan = (month: string) => month >= from && month <= to;
  return wantingAreas(q, settings, areaId).map((area) => {
    const { covered, spare } = cover(needsOf(area, plan, { from, to, months }), walks.get(area.id) ?? [], place);
    return { area, today: todayIn(area.zone), covered, spare: spare.filter(({ month }) => inSpan(month)) };
  });
}

/** The part of a coverage that lies in some of its months; the same where it is all of them. @param all the months that it was worked out for */
export function within(coverage: AreaCoverage[], months: string[], all: string[]): AreaCoverage[] {
  if (months.length === all.length) return coverage;
  const kept = new Set(months);
  return coverage.map((one) => ({
    ...one,
    covered: one.covered.filter(({ need }) => kept.has(need.month)),
    spare: one.spare.filter(({ month }) => kept.has(month)),
  }));
}
