import type { Profile } from '../calc/profile.js';
import type { Shape } from '../calc/route.js';
import type { Window } from '../calc/stops.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from '../walks/facts.js';
import { arrivalTimes } from '../walks/finish.js';
import { type HeightRange, heightRange } from './climb-shape.js';
import { type Clock, clockOf } from './clock.js';
import { type SlowestWay, whereSlowestAre } from './light.js';
import { type Places, placesOf } from './places.js';
import { type ShortWay, shortWays } from './short-ways.js';

/** What the strip takes from a walk. */
export type StripWalk = Pick<
  WalkFacts,
  'setOffAt' | 'gatherAt' | 'zone' | 'distanceMetres' | 'ascentMetres' | 'effortMetres' | 'stops' | 'meetingPoint' | 'landmark'
>;

/** What it takes from elsewhere: the route (null where none is known), the day's light (ms; null where the sun does not set), the group. */
export interface StripAround {
  profile: Profile | null;
  shape: Shape | null;
  sunset: number | null;
  dusk: number | null;
  settings: GroupSettings;
}

/** All that the drawing and its words are made from. */
export interface Laid {
  walk: StripWalk;
  around: StripAround;
  settings: GroupSettings;
  clock: Clock;
  finish: Window;
  places: Places;
  shorts: ShortWay[];
  /** The lowest and the highest ground; null where nothing is known or it is flat. */
  heights: HeightRange | null;
  /** Where the slowest are at sunset and at dusk, metres; null where they do not meet it. */
  light: { sunset: number | null; dusk: number | null };
}

/** Works out what the drawing and its words both need: times, places, short ways, where the light goes. */
export function layWalk(walk: StripWalk, around: StripAround): Laid {
  const { settings } = around;
  const { stops, finish } = arrivalTimes(walk, settings);
  const way: SlowestWay = { ...walk, halts: walk.stops, arrivals: stops, finish };
  const where = (at: number | null) => (at === null ? null : whereSlowestAre(at, way));
  return {
    walk,
    around,
    settings,
    clock: clockOf(walk, finish.slowest, settings),
    finish,
    places: placesOf(walk.stops, stops, walk.distanceMetres),
    shorts: shortWays(walk.stops, walk.distanceMetres),
    heights: heightRange(around.profile),
    light: { sunset: where(around.sunset), dusk: where(around.dusk) },
  };
}
