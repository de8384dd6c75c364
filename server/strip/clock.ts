import type { Window } from '../calc/stops.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';

/** Over so long a day the same figure could be morning or evening. */
const PLAIN_FOR_MS = 12 * 60 * 60 * 1000;

/** How instants of one walk are written: on the strip as short as they stay clear, in sentences in full. */
export interface Clock {
  /** "9:36" */
  short: (at: number) => string;
  /** "9:36 – 9:58", the fastest first */
  window: (window: Window) => string;
  /** "9:36 AM EST" */
  full: (at: number) => string;
  /** "EST", as at the set-off. */
  zone: string;
}

/** The clock of a walk in its zone. A walk of half a day and more carries AM and PM on the strip, too. */
export function clockOf(
  walk: { gatherAt: number; setOffAt: number; zone: string },
  end: number,
  settings: Pick<GroupSettings, 'locale' | 'clock'>,
): Clock {
  const plain = end - walk.gatherAt < PLAIN_FOR_MS;
  const shown = (at: number) => when(at, walk.zone, settings);
  const full = (at: number) => `${shown(at).clock}\u00a0${shown(at).zone}`;
  const short = (at: number) => (plain ? shown(at).hour : shown(at).clock);
  const window = ({ fastest, slowest }: Window) => {
    const from = shown(fastest).half === shown(slowest).half ? shown(fastest).hour : short(fastest);
    return fastest === slowest ? short(slowest) : `${from} – ${short(slowest)}`;
  };
  return { short, window, full, zone: shown(walk.setOffAt).zone };
}
