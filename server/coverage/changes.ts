import type { AreaCoverage } from './coverage.js';
import type { CountedWalk, Covered } from './covered.js';
import { byDate, dayFor, type Gap } from './gaps.js';
import type { WantingArea } from './store.js';

/** What somebody saw of the board. */
export interface Seen {
  /** ms */
  seenAt: number;
  /** The last month that was looked at. */
  untilMonth: string;
  gaps: string[];
}

export interface ClosedGap {
  area: WantingArea;
  need: Covered['need'];
  walk: CountedWalk;
}

/** What changed since the board was seen. */
export interface Changes {
  /** Gaps that were none then: a walk was cancelled or moved, or more is asked for. */
  opened: Gap[];
  /** Gaps that a walk meets now. */
  closed: ClosedGap[];
  /** How many passed without a walk. */
  passed: number;
  /** How many are asked for no more: plan or area were changed. */
  dropped: number;
}

/**
 * What changed since the board was seen, in the months that were looked at then. Pure.
 * @param coverage of the months since and ahead, of which `from` (YYYY-MM) is the first
 * @param gaps those there are now
 */
export function changesSince(seen: Seen, coverage: AreaCoverage[], gaps: readonly Gap[], from: string): Changes {
  const before = new Set(seen.gaps);
  const now = new Set(gaps.map(({ need }) => need.id));
  const known = new Map(coverage.flatMap(({ area, today, covered }) => covered.map((one) => [one.need.id, { ...one, area, today }])));
  const closed: ClosedGap[] = [];
  let [passed, dropped] = [0, 0];
  for (const id of seen.gaps) {
    if (now.has(id)) continue;
    const one = known.get(id);
    if (one?.walk) closed.push({ area: one.area, need: one.need, walk: one.walk });
    else if (one ? dayFor(one.need, one.today) === null : beginsIn(id) < from) passed += 1;
    else dropped += 1;
  }
  const opened = gaps.filter(({ need }) => need.month <= seen.untilMonth && !before.has(need.id)).sort(byDate);
  return { opened, closed, passed, dropped };
}

/** The month in which the week of a need, or the need's own, begins: its id says it. */
function beginsIn(id: string): string {
  return (id.split(' ')[1] ?? '').slice(0, 7);
}
