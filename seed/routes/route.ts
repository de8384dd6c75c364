import type { SURFACES } from '../../server/walks/facts.js';
import type { StopKind } from '../../server/walks/stops.js';
import type { DayKind } from '../areas.js';
import type { Point } from '../points.js';
import type { Ground } from '../way/ground.js';
import type { Hill } from '../way/heights.js';

/** A place on the way, by its mile. */
export interface RouteStop {
  mile: number;
  kinds: StopKind[];
  name: string;
  minutes: number;
  /** A short way from here: the mile at which it is back on the way (the finish where none is said), and how many miles it makes in all. */
  short?: { back?: number; makes: number };
}

/** A walk that an area's leaders lead again and again. Miles and feet, as the group counts. */
export interface Route {
  name: string;
  locality: string;
  kind: DayKind;
  miles: number;
  feet: number;
  surfaces: (typeof SURFACES)[number][];
  stepFree?: boolean;
  dogs?: boolean;
  point: Point;
  description: string;
  bring?: string;
  theme?: string;
  directions?: string;
  ground: Ground;
  /** Metres above the sea at the start. */
  base: number;
  /** Once round of laps; of a way there and back, the way there. */
  hills: readonly Hill[];
  /** In their order along the way. */
  stops: RouteStop[];
  /** Why the walk goes ahead all the same, by the walk check's key. */
  explained?: Record<string, string>;
}

/** A stop at a mile of the way, with the minutes that the group stays. */
export function stop(mile: number, kinds: StopKind[], name: string, minutes = 0, short?: RouteStop['short']): RouteStop {
  return { mile, kinds, name, minutes, ...(short ? { short } : {}) };
}
