import type { Stop } from './stops.js';

/** A walk as it stood at one version: what a leader may change, with the instants that follow from it. Kept as JSON in walk_changes and notices. */
export interface WalkFacts {
  areaId: number;
  routeName: string;
  locality: string;
  /** YYYY-MM-DD and HH:MM in `zone`, as the leader meant them. */
  date: string;
  gather: string;
  setOff: string;
  zone: string;
  /** Minutes east of UTC, where the hour happens twice; else null. */
  doubledOffset: number | null;
  gatherAt: number;
  setOffAt: number;
  meetingPoint: string;
  landmark: string;
  lat: number | null;
  lon: number | null;
  distanceMetres: number;
  ascentMetres: number;
  /** The way as read from a file; null where the leader gave none. */
  routeId: number | null;
  /** The flat distance that takes as long as the route does, by Tobler's function; null where its heights are not known. */
  effortMetres: number | null;
  /** In their order along the walk. */
  stops: Stop[];
  surfaces: string[];
  stepFree: boolean;
  capacity: number;
  dogs: boolean;
  minors: boolean;
  theme: string;
  directions: string;
  description: string;
  bring: string;
  /** When the leader last walked or drove the route, YYYY-MM-DD; '' where they have not said. */
  seenOn: string;
  /** Why the walk goes ahead all the same, by the walk check's key. */
  explained: Record<string, string>;
}

export type FactName = keyof WalkFacts;

/** A change in any of these is told to every sign-up, always. */
export const ALWAYS_TOLD = [
  'date',
  'gather',
  'setOff',
  'zone',
  'doubledOffset',
  'meetingPoint',
  'landmark',
  'lat',
  'lon',
] as const satisfies FactName[];

/** A change in any of these is told if the leader asks for it (length only where it changed by more than a tenth). */
export const OFFERED = [
  'distanceMetres',
  'routeId',
  'stops',
  'surfaces',
  'stepFree',
  'ascentMetres',
  'dogs',
  'minors',
  'bring',
] as const satisfies FactName[];

/** Surfaces a walk may have, in the order shown. */
export const SURFACES = ['pavement', 'paved path', 'gravel', 'unpaved', 'sand', 'grass', 'steps'] as const;
