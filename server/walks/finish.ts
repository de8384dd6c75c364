import { onFoot } from '../calc/pace.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from './facts.js';

/** When the fastest and the slowest of the group should be back, ms. Times on the clock are whole minutes. */
export function finishTimes(
  facts: Pick<WalkFacts, 'setOffAt' | 'distanceMetres' | 'ascentMetres'>,
  settings: Pick<GroupSettings, 'fastPace' | 'slowPace'>,
): { fastest: number; slowest: number } {
  const end = (minutesAMile: number) =>
    facts.setOffAt + Math.ceil(onFoot(facts.distanceMetres, facts.ascentMetres, minutesAMile) / 60) * 60_000;
  return { fastest: end(settings.fastPace), slowest: end(settings.slowPace) };
}
