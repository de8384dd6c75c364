import { wallOf } from '../calc/zone.js';
import type { WalkRow } from '../walks/ledby.js';

const DAY_MS = 24 * 60 * 60 * 1000;
/** Common sense, no source: what comes later is no thanks any more. */
const WRITTEN_FOR_DAYS = 14;

/** Who a message goes to: confirmed and waiting before people gather, confirmed from then on. */
export type Audience = 'everyone' | 'confirmed';

/** What can be written at a moment. */
export interface OpenMoment {
  audience: Audience;
  /** The walk is to come or under way: absent adults in parties hear, too. */
  notBack: boolean;
  /** It is the walk's day, and the slowest are not back yet. */
  isDay: boolean;
  hasSetOff: boolean;
}

/** Why nobody can be written to. */
export type Closed = 'draft' | 'cancelled' | 'long ago';

/**
 * What can be written on a walk now. Pure.
 * @param finishAt when the slowest should be back, ms
 * @param now ms
 */
export function momentOf(
  walk: Pick<WalkRow, 'state' | 'gatherAt' | 'setOffAt' | 'zone' | 'wallDate'>,
  finishAt: number,
  now: number,
): OpenMoment | { closed: Closed } {
  if (walk.state === 'draft' || walk.state === 'cancelled') return { closed: walk.state };
  if (now >= walk.setOffAt + WRITTEN_FOR_DAYS * DAY_MS) return { closed: 'long ago' };
  const notBack = now < finishAt;
  return {
    audience: now < walk.gatherAt ? 'everyone' : 'confirmed',
    notBack,
    isDay: notBack && wallOf(now, walk.zone).date >= walk.wallDate,
    hasSetOff: now >= walk.setOffAt,
  };
}
