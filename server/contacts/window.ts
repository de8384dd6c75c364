import type { GroupSettings } from '../settings/rules.js';
import type { WalkRow } from '../walks/ledby.js';

const HOUR_MS = 60 * 60 * 1000;
/** A walk nobody closed counts as closed this long after gathering. */
export const CLOSED_AT_LATEST_MS = 48 * HOUR_MS;

type WindowWalk = Pick<WalkRow, 'gatherAt' | 'closedAt'>;
type WindowSettings = Pick<GroupSettings, 'contactsFromHours' | 'contactsUntilHours'>;

/** When a walk's leaders may open its emergency details: both ends are instants (ms), the first inclusive, the last exclusive. Pure. */
export function openWindow(walk: WindowWalk, settings: WindowSettings): { from: number; until: number } {
  return {
    from: walk.gatherAt - settings.contactsFromHours * HOUR_MS,
    until: (walk.closedAt ?? walk.gatherAt + CLOSED_AT_LATEST_MS) + settings.contactsUntilHours * HOUR_MS,
  };
}

/** How a walk's window stands: 'none' for a draft or a cancelled walk, since nobody is out on it. Pure. */
export function windowState(
  walk: WindowWalk & Pick<WalkRow, 'state'>,
  settings: WindowSettings,
  now: number,
): 'none' | 'before' | 'open' | 'after' {
  if (walk.state !== 'posted' && walk.state !== 'closed') return 'none';
  const { from, until } = openWindow(walk, settings);
  if (now < from) return 'before';
  return now < until ? 'open' : 'after';
}

/** Whether a walk's leaders may open its emergency details now. Pure. */
export function isOpen(walk: WindowWalk & Pick<WalkRow, 'state'>, settings: WindowSettings, now: number): boolean {
  return windowState(walk, settings, now) === 'open';
}
