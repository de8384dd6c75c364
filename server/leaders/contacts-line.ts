import { openWindow, windowState } from '../contacts/window.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkRow } from '../walks/ledby.js';
import { type When, when } from '../web/when.js';

/** Where the window of a walk's emergency details stands, for one line on a page: "open until", with when; null for a walk that never opens any. Pure. */
export function contactsLine(walk: WalkRow, settings: GroupSettings, now: number): { words: string; at: When; isOpen: boolean } | null {
  const state = windowState(walk, settings, now);
  if (state === 'none') return null;
  const { from, until } = openWindow(walk, settings);
  const words = { before: 'open from', open: 'open until', after: 'closed since' }[state];
  return { words, at: when(state === 'before' ? from : until, walk.zone, settings), isOpen: state === 'open' };
}
