import type { Tx } from '../db/open.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkRow } from '../walks/ledby.js';
import { when } from '../web/when.js';
import { type SeriesWalk, seriesWalks } from './store.js';

const STATES = {
  draft: { state: 'draft', flag: 'caution' },
  posted: { state: '', flag: '' },
  cancelled: { state: 'cancelled', flag: 'danger' },
  closed: { state: 'closed', flag: 'good' },
} as const;

/** The series a walk is in, as its page shows it (parts/series.hbs); null where it is in none, or alone. Drafts that were thrown away are left out. */
export function seriesModel(q: Tx, walk: WalkRow, settings: GroupSettings) {
  const shown = seriesShown(q, walk);
  return shown.length < 2
    ? null
    : {
        count: shown.length,
        walks: shown.map((one) => ({
          id: one.id,
          date: when(one.gatherAt, one.zone, settings).fullDate,
          here: one.id === walk.id,
          ...STATES[one.state],
        })),
      };
}

function seriesShown(q: Tx, walk: WalkRow): SeriesWalk[] {
  if (walk.seriesId === null) return [];
  return seriesWalks(q, walk.seriesId).filter((one) => one.id === walk.id || one.state !== 'cancelled' || one.postedAt !== null);
}

/**
 * What the form that edits a walk says of its series: how many walks it has, null where it is in none, or alone; and "Sat, Dec 19", those
 * after this one that are still to come.
 */
export function seriesLines(
  q: Tx,
  walk: WalkRow,
  now: number,
  settings: GroupSettings,
): { seriesCount: number | null; laterDates: string[] } {
  const shown = seriesShown(q, walk);
  const laterDates = shown
    .filter((one) => one.gatherAt > Math.max(now, walk.gatherAt) && (one.state === 'draft' || one.state === 'posted'))
    .map((one) => when(one.gatherAt, one.zone, settings).date);
  return { seriesCount: shown.length < 2 ? null : shown.length, laterDates };
}
