import { sun } from '../server/calc/sun.js';
import { wallOf } from '../server/calc/zone.js';
import type { WalkFacts } from '../server/walks/facts.js';
import type { Chance } from './chance.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const ONE_IN = 8;

/** The date on which the leader last saw the route, some days before it was posted; one leader in eight has not said. */
export function seenBefore(postedAt: number, zone: string, { whole }: Chance): string {
  const days = whole(2, 9);
  return whole(1, ONE_IN) === ONE_IN ? '' : wallOf(postedAt - days * DAY_MS, zone).date;
}

/** What is still to be explained on the day: a reason to walk in the dark goes where the slowest are back by civil dusk. */
export function explainedStill(facts: WalkFacts, slowest: number): Record<string, string> {
  const { dusk: reason, ...others } = facts.explained;
  if (reason === undefined || facts.lat === null || facts.lon === null) return others;
  const { dusk } = sun(facts.lat, facts.lon, facts.date, facts.zone);
  return dusk !== null && slowest > dusk ? { ...others, dusk: reason } : others;
}
