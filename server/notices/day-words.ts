import { addDays } from '../calc/month.js';
import { wallOf } from '../calc/zone.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from '../walks/facts.js';
import { wallWhen } from './difference.js';

/**
 * The day of a walk as someone who reads it at `now` (ms) says it: "tomorrow, Sat, Dec 5". The date stands beside it, for who reads it
 * later. A day on which clocks go forward is short, so that a walk within 24 hours may be on the day after tomorrow: "on Mon, Mar 15".
 * @throws RangeError for a zone that is none
 */
export function dayWords(now: number, facts: WalkFacts, settings: Pick<GroupSettings, 'locale' | 'clock'>): string {
  const today = wallOf(now, facts.zone).date;
  const { date } = wallWhen(facts, facts.gather, facts.gatherAt, settings);
  if (facts.date === today) return `today, ${date}`;
  return facts.date === addDays(today, 1) ? `tomorrow, ${date}` : `on ${date}`;
}
