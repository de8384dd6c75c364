import type { HazardWords } from '../day/hazard-words.js';
import type { LineVertex, Waypoint } from '../gpx/measured.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkFacts } from '../walks/facts.js';
import type { CheckWords } from './words.js';

/** Where the walk form mends it: the id of a control, or of the part of the form that holds them. */
export type CheckField =
  | 'date'
  | 'gather'
  | 'setOff'
  | 'meetingPoint'
  | 'landmark'
  | 'lat'
  | 'gpx'
  | 'distance'
  | 'ascent'
  | 'surface'
  | 'stepFree'
  | 'stops'
  | 'directions'
  | 'seenOn';

/** What a rule found: before posting it must be mended, or it is something to think about. */
export interface Found {
  key: string;
  kind: 'mend' | 'think';
  /** What was found, with its figures. */
  title: string;
  /** Why it matters on the day. */
  why: string;
  /** What mends it. */
  mends: string;
  href: CheckField;
  /** An address of its own, where more is to be done about it than to mend the form. */
  page?: string;
  /** Whether the leader may go ahead with a reason, which the public page then shows. */
  explain?: true;
}

export interface CheckItem extends Omit<Found, 'explain'> {
  explain: boolean;
  /** The leader's reason to go ahead; '' where none is given. */
  reason: string;
}

/** Another walk that this one might get in the way of. */
export interface OtherWalk {
  walkId: number;
  title: string;
  href: string;
  gatherAt: number;
  setOffAt: number;
  /** When the slowest are back. */
  endAt: number;
  zone: string;
  sameLeader: boolean;
  sameArea: boolean;
  distanceMetres: number;
}

export interface CheckedRoute {
  lengthMetres: number;
  /** Null where the file has no heights. */
  ascentMetres: number | null;
  line: LineVertex[][];
  waypoints: Waypoint[];
}

/** What a walk is checked against, beside itself. */
export interface CheckAround {
  settings: GroupSettings;
  now: number;
  area: { name: string; lat: number; lon: number; radiusMetres: number };
  route: CheckedRoute | null;
  others: OtherWalk[];
  /** What was found in the way on this route, and is not known to be gone. */
  hazards?: HazardWords[];
  /** A posted walk may lie in the past: that is no fault of it. */
  when?: 'draft' | 'posted';
}

/** What every rule is given: the walk, what is around it, when its people should be back, and how to say figures. */
export interface Checked {
  facts: WalkFacts;
  around: CheckAround;
  /** ms */
  finish: { fastest: number; slowest: number };
  words: CheckWords;
}

export type CheckRule = (walk: Checked) => Found[];
