import { groupSettings } from '../../server/settings/rules.js';
import type { CheckAround, CheckedRoute, CheckItem, OtherWalk } from '../../server/walkcheck/rules.js';
import { walkCheck } from '../../server/walkcheck/rules.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import type { Stop } from '../../server/walks/stops.js';
import { walkFacts } from '../support/cast.js';

export const MILE = 1609.344;
export const MINUTE_MS = 60_000;

/** Miles as the form stores them: whole metres. */
export const miles = (count: number) => Math.round(count * MILE);

/** A walk with nothing to say about it: four miles on a spring morning, seen last week. */
export const FAULTLESS: Partial<WalkFacts> = {
  date: '2027-04-17',
  distanceMetres: miles(4),
  ascentMetres: 30,
  directions: 'Follow the river to the lock and come back.',
  seenOn: '2027-04-10',
};

export const AROUND: CheckAround = {
  settings: groupSettings.parse({}),
  now: Date.UTC(2027, 3, 12, 12),
  area: { name: 'Lantern Hills', lat: 41.3, lon: -85.1, radiusMetres: 20_000 },
  route: null,
  others: [],
};

export const IN_KM = groupSettings.parse({ units: 'km', clock: 24, locale: 'en-GB' });

/** What the check finds in a faultless walk, once this is changed. */
export function check(changed: Partial<WalkFacts> = {}, around: Partial<CheckAround> = {}): CheckItem[] {
  return walkCheck(walkFacts({ ...FAULTLESS, ...changed }), { ...AROUND, ...around });
}

export function keys(items: CheckItem[]): string[] {
  return items.map((item) => item.key);
}

/** The one item of a key, or nothing. */
export function found(key: string, changed: Partial<WalkFacts> = {}, around: Partial<CheckAround> = {}): CheckItem | undefined {
  return check(changed, around).find((item) => item.key === key);
}

export function stop(metres: number, changed: Partial<Stop> = {}): Stop {
  return { kinds: [], name: '', metres, effortMetres: null, minutes: 0, short: null, ...changed };
}

/** Stops that offer both toilets and water, so many miles along. */
export function served(...at: number[]): Stop[] {
  return at.map((mile) => stop(miles(mile), { kinds: ['toilets', 'water'] }));
}

/** A straight way due north from the walk's meeting point, with a vertex every hundredth of a degree (some 1111 m). */
export function northward(lengthMetres: number, changed: Partial<CheckedRoute> = {}): CheckedRoute {
  const metresPerStep = 1110.7;
  const line = Array.from({ length: Math.ceil(lengthMetres / metresPerStep) + 1 }, (_, index) => {
    const metres = Math.min(index * metresPerStep, lengthMetres);
    return [41.3 + (metres / metresPerStep) * 0.01, -85.1, metres] as [number, number, number];
  });
  return { lengthMetres, ascentMetres: null, line: [line], waypoints: [], ...changed };
}

export function other(changed: Partial<OtherWalk> = {}): OtherWalk {
  return {
    walkId: 7,
    title: '6-mile walk: Old kilns, Lantern Hills',
    href: '/walks/7',
    gatherAt: 0,
    setOffAt: 0,
    endAt: 0,
    zone: 'America/New_York',
    sameLeader: false,
    sameArea: true,
    distanceMetres: miles(6),
    ...changed,
  };
}
