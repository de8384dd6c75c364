import { addDays } from '../calc/month.js';
import { openWindow } from '../contacts/window.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkRow } from '../walks/ledby.js';
import { fullWhen } from '../web/when.js';

const HOUR_MS = 60 * 60 * 1000;
const DAY_MS = 24 * HOUR_MS;
/** Whoever wrote a record may change it for so long; then it only takes notes. */
export const CHANGE_MS = DAY_MS;
/** A coordinator looks at a new one within so many days, unless they say otherwise (common practice, no source). */
const FIRST_LOOK_DAYS = 3;

type Walk = Pick<WalkRow, 'state' | 'gatherAt' | 'closedAt' | 'zone'>;

/** Why nothing can be recorded about a walk yet; null where it can. One that was cancelled at the meeting point, and any that is over, can be written about. Pure. */
export function recordingClosed(walk: Walk & Pick<WalkRow, 'postedAt'>, settings: GroupSettings, now: number): string | null {
  if (walk.postedAt === null) return 'This walk was never posted: nobody walked.';
  const { from } = openWindow(walk, settings);
  return now < from ? `Nothing has happened yet: you can write it down from ${fullWhen(from, walk.zone, settings)}.` : null;
}

interface Written {
  byPersonId: number | null;
  createdAt: number;
  state: 'open' | 'closed';
}

/** Whether somebody may change a record: its writer, for a day, while it is open. Pure. */
export function mayChange(incident: Written, personId: number, now: number): boolean {
  return incident.state === 'open' && incident.byPersonId === personId && now < incident.createdAt + CHANGE_MS;
}

/** Until when its writer may read a record, ms: as long as the walk's emergency details are open, and for a day. Pure. */
export function readUntil({ createdAt }: Pick<Written, 'createdAt'>, walk: Walk, settings: GroupSettings): number {
  const window = walk.state === 'posted' || walk.state === 'closed' ? openWindow(walk, settings).until : 0;
  return Math.max(window, createdAt + CHANGE_MS);
}

/** When a coordinator looks at a new one at the latest, YYYY-MM-DD. Pure. @param today in the group's zone */
export function firstLookOn(today: string): string {
  return addDays(today, FIRST_LOOK_DAYS);
}
