import type { Entry } from '../ledger.js';

/** What the phone and the service say to each other. No phone number, contact or note is ever in it. */
export interface RollState {
  walk: number;
  title: string;
  csrf: string;
  version: number;
  stops: { n: number; name: string }[];
  people: RollPerson[];
  entries: TimedEntry[];
  /** By the clock of the service, ms. */
  now: number;
  closed: boolean;
}

export interface RollPerson {
  who: string;
  name: string;
  minor: boolean;
  guardian: string | null;
  waiver: boolean;
}

/** `at`: when it was said, ms; in an answer by the clock of the service, on the phone by its own. */
export interface TimedEntry extends Entry {
  at: number;
}

/** Someone who turned up, as the phone names them before the service knows them: on the roll they are `t` and the key. */
export interface NewName {
  key: string;
  name: string;
}

export interface SentRoll {
  csrf: string;
  device: string;
  /** By the phone's own clock, ms, so that the service knows how long ago each entry was. */
  sentAt: number;
  entries: TimedEntry[];
  people: NewName[];
}
