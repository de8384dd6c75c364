const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
export const DAY_MS = 24 * HOUR_MS;

/** Mail is tried for this long at most. */
const TRIED_FOR_MS = 3 * DAY_MS;
/** Mail about a walk that has gathered already is tried this long. */
const TRIED_LATE_MS = HOUR_MS;
/** Edits restart the hold, but the first of them is never held longer than this many holds. */
const MOST_HOLDS = 3;

/** When a notice about a walk is given up: after three days or at gathering, whichever is first. @param gatherAt ms */
export function giveUpAt(now: number, gatherAt: number): number {
  return gatherAt > now ? Math.min(now + TRIED_FOR_MS, gatherAt) : now + TRIED_LATE_MS;
}

/** When what someone writes to everyone is given up: one written shortly before gathering, or after it, is of use for longer than that. @param gatherAt ms */
export function messageUntil(now: number, gatherAt: number): number {
  return gatherAt > now ? Math.max(giveUpAt(now, gatherAt), now + TRIED_LATE_MS) : now + TRIED_FOR_MS;
}

/** Whether a change must go at once: some gathering, the one walkers know of or the new one, is within a day. */
export function isUrgent(now: number, gatherings: number[]): boolean {
  return gatherings.some((at) => at - now <= DAY_MS);
}

/** For how long a change is held, ms: what whoever runs the server has set goes before what the group has. */
export function holdOf(config: { noticeHoldMs: number | undefined }, settings: { noticeHoldMs: number }): number {
  return config.noticeHoldMs ?? settings.noticeHoldMs;
}

/**
 * When a change notice goes, so that edits close together make one mail.
 * @param firstAt when the first edit that it tells of was made, ms
 */
export function holdUntil(now: number, firstAt: number, holdMs: number, urgent: boolean): number {
  if (urgent) return now;
  return Math.max(now, Math.min(now + holdMs, firstAt + MOST_HOLDS * holdMs));
}

/** Waits between tries. */
const WAITS_MS = [MINUTE_MS, 2 * MINUTE_MS, 5 * MINUTE_MS, 15 * MINUTE_MS, HOUR_MS, 2 * HOUR_MS];
/** The mail server's absence is nobody's fault: once it is back, nobody waits longer than this. */
const LONGEST_CONNECTION_WAIT_MS = 15 * MINUTE_MS;
const JITTER = 0.2;

/**
 * How long until the next try, ms: growing, and spread by a fifth either way so that many rows do not return together.
 * @param attempts tries made so far, at least 1
 * @param random 0 to 1
 */
export function retryWait(attempts: number, connection: boolean, random: number): number {
  const wait = WAITS_MS[Math.min(attempts, WAITS_MS.length) - 1] ?? MINUTE_MS;
  const capped = connection ? Math.min(wait, LONGEST_CONNECTION_WAIT_MS) : wait;
  return Math.round(capped * (1 - JITTER + 2 * JITTER * random));
}

const LONGEST_PAUSE_MS = MINUTE_MS;

/** How long nothing is tried after the mail server could not be reached `failures` times in a row, ms: 2, 4, 8 … 60 seconds. */
export function pauseAfter(failures: number): number {
  return Math.min(1000 * 2 ** failures, LONGEST_PAUSE_MS);
}
