import type { LiveRoll } from './live.js';

/** Taps come in runs: one sending for all of them. */
const RUN_MS = 400;
const EVERY_MS = 30_000;
const SLOWEST_MS = 5 * 60_000;

export interface Sender {
  /** Something was tapped. */
  soon: () => void;
  now: () => Promise<void>;
}

/**
 * Sends what waits: after a tap, with the signal's return, when the page is looked at again, and every half minute, less often while that
 * fails. With nothing to send the half minute asks what others said, as long as somebody looks.
 */
export function startSending(roll: LiveRoll): Sender {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let failures = 0;
  let running: Promise<void> | null = null;
  /** Asked for while a sending was on its way: the signal may have come back since it began. */
  let again = false;
  const later = (ms: number) => {
    clearTimeout(timer);
    timer = setTimeout(() => void now(), ms);
  };
  async function once(): Promise<void> {
    if (document.visibilityState === 'visible' || roll.unsent > 0) await roll.sync();
    failures = roll.trouble === 'no signal' ? failures + 1 : 0;
  }
  function next(): void {
    running = null;
    if (roll.trouble === 'closed' || roll.trouble === 'not yours') return;
    later(again ? 0 : Math.min(EVERY_MS * 2 ** Math.max(0, failures - 1), SLOWEST_MS));
  }
  function now(): Promise<void> {
    again = running !== null;
    running ??= once().finally(next);
    return running;
  }
  const afresh = () => {
    failures = 0;
    later(0);
  };
  addEventListener('online', afresh);
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && afresh());
  return {
    soon: () => later(RUN_MS),
    now: () => {
      failures = 0;
      return now();
    },
  };
}
