import type { Tx } from '../db/open.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkRow } from '../walks/ledby.js';
import { when } from '../web/when.js';
import { seriesWalks } from './store.js';

const STATES = {
  draft: { state: 'draft', flag: 'caution' },
  posted: { state: '', flag: '' },
  cancelled: { state: 'cancelled', flag: 'danger' },
  closed: { state: 'closed', flag: 'good' },
} as const;

/** The series a walk is in, as its page shows it (parts/series.hbs); null where it is in none, or alone. Drafts that were thrown away are left out. */
export function seriesModel(q: Tx, walk: WalkRow, settings: GroupSettings) {
  if (walk.seriesId === null) return null;
  const shown = seriesWalks(q, walk.seriesId).filter((one) => one.id === walk.id || one.state !== 'cancelled' || one.postedAt !== null);
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

/** "Sat, Dec 19": the walks of a series after one of its walks that are still to come, for the form that asks whether they change, too. */
export function laterDates(q: Tx, walk: WalkRow, now: number, settings: GroupSettings): string[] {
  if (walk.seriesId === null) return [];
  return seriesWalks(q, walk.seriesId)
    .filter((one) => one.gatherAt > Math.max(now, walk.gatherAt) && (one.state === 'draft' || one.state === 'posted'))
    .map((one) => when(one.gatherAt, one.zone, settings).date);
}
