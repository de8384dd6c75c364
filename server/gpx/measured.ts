import type { Profile } from '../calc/profile.js';
import type { Shape } from '../calc/route.js';
import type { Turn } from '../calc/turns.js';
import type { StopKind } from '../walks/stops.js';

/** A vertex of the reduced line: latitude, longitude (degrees, 6 decimals), metres along the way. */
export type LineVertex = [lat: number, lon: number, metres: number];

/** A place that the file names and whose meaning is known. */
export interface Waypoint {
  name: string;
  kinds: StopKind[];
  /** How far along the way its nearest point is. */
  metres: number;
  /** How far it lies from the way. */
  offMetres: number;
}

/** What is known of a way once its file was read. */
export interface MeasuredRoute {
  lengthMetres: number;
  /** Null where the file has no heights. */
  ascentMetres: number | null;
  descentMetres: number | null;
  shape: Shape;
  pointCount: number;
  line: LineVertex[][];
  lineErrorMetres: number;
  profile: Profile | null;
  turns: Turn[];
  waypoints: Waypoint[];
  /** The whole way as clean GPX 1.1, gzipped, without times. */
  gpx: Uint8Array;
}
