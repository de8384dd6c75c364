import type { GroupSettings } from '../settings/rules.js';
import type { Near } from '../walks/checked.js';
import type { WalkFacts } from '../walks/facts.js';
import { finishTimes } from '../walks/finish.js';
import { lightOn, placeOf } from '../walks/light.js';

/** The light in which the slowest come back. */
export interface DateLight {
  /** ms */
  back: number;
  /** Sunset, ms; null where the sun does not set that day. */
  set: number | null;
  is: 'light' | 'twilight' | 'dark';
}

/** The light at a walk's finish, at its own place on its own day. */
export function lightOf(facts: WalkFacts, near: Near, paces: Pick<GroupSettings, 'fastPace' | 'slowPace'>): DateLight {
  const back = finishTimes(facts, paces).slowest;
  const { rise, set, dusk, dawn, allDay } = lightOn(placeOf(facts, near.route, near.area), facts.date, facts.zone, facts.setOffAt);
  if (allDay) return { back, set, is: 'light' };
  const noLight = rise === null && set === null && dawn === null && dusk === null;
  if (noLight || (dusk !== null && back > dusk)) return { back, set, is: 'dark' };
  return { back, set, is: set === null || back > set ? 'twilight' : 'light' };
}
