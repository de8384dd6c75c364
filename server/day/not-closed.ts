import { addDays } from '../calc/month.js';
import { instantOf } from '../commitment/monthly.js';
import type { WalkRow } from '../walks/ledby.js';

/** Whom a walk that nobody closed is brought to mind: first whoever leads it, an evening later the coordinators. */
export type Reminded = 'leader' | 'coordinator';

/** What such a mail says: frozen as it is owed. */
export interface NotClosedContent {
  walkId: number;
  version: number;
  title: string;
  setOffAt: number;
  zone: string;
  to: Reminded;
  personId: number;
}

const EVENING = '18:00';
const HOUR_MS = 60 * 60 * 1000;
/** After that long it is too late to ask: a service that was down, or walks from before there was closing, bring no flood of mail. */
const ASKED_FOR_MS = 48 * HOUR_MS;

/** When each is due: 18:00 by the walk's clock on the day after it, and on the day after that. Pure. */
export function dueAt({ wallDate, zone }: Pick<WalkRow, 'wallDate' | 'zone'>): Record<Reminded, number> {
  return { leader: instantOf(addDays(wallDate, 1), EVENING, zone), coordinator: instantOf(addDays(wallDate, 2), EVENING, zone) };
}

/** Who is to be reminded of an open walk now. Pure. @param now ms */
export function remindedNow(walk: Pick<WalkRow, 'wallDate' | 'zone'>, now: number): Reminded[] {
  const due = dueAt(walk);
  return (['leader', 'coordinator'] as const).filter((who) => now >= due[who] && now < due[who] + ASKED_FOR_MS);
}

/** Set-offs that may be due for anyone: the first and the last instant, ms. Zones are at most 14 hours off UTC. Pure. */
export function setOffsDue(now: number): { from: number; until: number } {
  return { from: now - 7 * 24 * HOUR_MS, until: now - 12 * HOUR_MS };
}
