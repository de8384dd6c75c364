import { type Entry, type GroupSaid, groupAt } from './ledger.js';

/*
 * How long the group is out, and when it should be where. Runs in the service and on the phone alike.
 */

interface Expected {
  fastest: number;
  slowest: number;
}

/** What of a walk says when the group should be where, ms, if it sets off as planned. */
export interface Planned {
  setOffAt: number;
  windows: { stops: readonly Expected[]; finish: Expected };
}

/** Where the group is, since when it is out, and when it should come to the next place. */
export interface GroupTimer {
  at: GroupSaid;
  /** When the group set off, ms; null while it gathers. */
  setOffAt: number | null;
  /** How long it has been out, ms; 0 while it gathers. */
  outMs: number;
  /** Where it goes next: a stop by its number, or 'finish'; null at the finish and while it gathers. */
  next: { place: number | 'finish'; fastest: number; slowest: number } | null;
  /** By how much it is behind: the planned set-off, or the slowest's arrival at the next place, ms; 0 where it is not. */
  lateMs: number;
}

type Timed = Entry & { at: number };

/** When the group set off, ms: the first that said so since it was last put back to gathering; null where it gathers. */
export function setOffTime(entries: readonly Timed[]): number | null {
  const group = entries.filter((entry) => entry.who === 'group').sort((a, b) => a.at - b.at || (a.entry < b.entry ? -1 : 1));
  if (groupAt(entries).at === 'gathering') return null;
  return group.reduce<number | null>((since, entry) => ((entry.said as GroupSaid).at === 'gathering' ? null : (since ?? entry.at)), null);
}

/** The group's timer: a late start moves every window by as much. Pure. @param now ms, by the clock that `entries` go by */
export function groupTimer(planned: Planned, entries: readonly Timed[], now: number): GroupTimer {
  const at = groupAt(entries);
  const setOffAt = setOffTime(entries);
  if (setOffAt === null) return { at, setOffAt, outMs: 0, next: null, lateMs: Math.max(0, now - planned.setOffAt) };
  const next = nextPlace(planned, at, setOffAt - planned.setOffAt);
  return { at, setOffAt, outMs: Math.max(0, now - setOffAt), next, lateMs: next ? Math.max(0, now - next.slowest) : 0 };
}

function nextPlace({ windows }: Planned, at: GroupSaid, shift: number): GroupTimer['next'] {
  if (at.at === 'finish') return null;
  const index = at.at === 'stop' ? at.stop : 0;
  const stop = windows.stops[index];
  const window = stop ?? windows.finish;
  return { place: stop ? index + 1 : 'finish', fastest: window.fastest + shift, slowest: window.slowest + shift };
}
