import type { Window } from '../calc/stops.js';
import type { Entry } from './ledger.js';

/*
 * What the service and a phone say to each other of a roll. No phone number, contact or note is ever in it.
 */

/** Someone on the roll, as a phone may keep them: a name and what is asked of it, never a number or an address. */
export interface RollPerson {
  who: string;
  name: string;
  minor: boolean;
  /** Of a minor: the name of whom they are with; null where nobody is known. */
  guardian: string | null;
  /** The same by `who`. */
  guardianWho: string | null;
  waiver: boolean;
  /** Withdrew or waits for a place, and was seen all the same. */
  withoutPlace: boolean;
}

export interface RollEntry extends Entry {
  /** When it was said, ms by our clock. */
  at: number;
}

/** All of a walk's roll: what the page holds for its script, and what each sync answers. */
export interface RollState {
  walk: number;
  title: string;
  csrf: string;
  /** Of this shape; a script that knows another loads the page again. */
  version: 1;
  /** For clocks: the walk's zone, the group's locale and 12 or 24 hours. */
  zone: string;
  locale: string;
  clock: 12 | 24;
  gatherAt: number;
  /** As planned, ms. */
  setOffAt: number;
  stops: { n: number; name: string }[];
  /** When the fastest and the slowest come to each stop and to the finish if the group sets off as planned, ms. */
  windows: { stops: Window[]; finish: Window };
  people: RollPerson[];
  /** Who may be the back marker besides those who walk: "p7". */
  leaders: { who: string; name: string }[];
  entries: RollEntry[];
  /** By our clock, ms. */
  now: number;
  closed: boolean;
}

/** An entry as a phone sends it. */
export interface SentEntry extends Entry {
  /** By the phone's clock, ms. */
  at: number;
}

/** Someone who turned up, as the phone names them before the service knows them: on the roll they are `t` and the key. */
export interface NewName {
  key: string;
  name: string;
}

/** What a phone sends. */
export interface SentRoll {
  csrf: string;
  device: string;
  /** By the phone's own clock, ms, so that the service knows how long ago each entry was. */
  sentAt: number;
  entries: SentEntry[];
  people: NewName[];
}

/** An entry that can never be taken, and why, for the phone to show. */
export interface Refused {
  entry: string;
  sentence: string;
}
