import type { FastifyRequest } from 'fastify';
import type { Window } from '../calc/stops.js';
import type { Services } from '../services.js';
import { arrivalTimes } from '../walks/finish.js';
import type { WalkRow } from '../walks/ledby.js';
import { factsOf, leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import type { Entry } from './ledger.js';
import { ROLL_OPENS_MS, rollPhase } from './opening.js';
import { entriesOf, heardAt, type KeptEntry, rosterOf } from './store.js';

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

/** A walk's roll as it stands. Nine queries, whatever it holds. */
export function rollState(services: Services, walk: WalkRow, request: Pick<FastifyRequest, 'visitor'>): RollState {
  const { db, settings, now } = services;
  const group = settings();
  return {
    walk: walk.id,
    title: walkTitle(walk, group.units),
    csrf: request.visitor.csrf,
    version: 1,
    zone: walk.zone,
    locale: group.locale,
    clock: group.clock,
    gatherAt: walk.gatherAt,
    setOffAt: walk.setOffAt,
    stops: walk.stops.map((stop, index) => ({ n: index + 1, name: stop.name })),
    windows: arrivalTimes(factsOf(walk), group),
    people: rosterOf(db.q, walk, { now: now(), settings: group }).map(({ guardianName, guardian, ...one }) => ({
      ...one,
      guardian: guardianName,
      guardianWho: guardian,
    })),
    leaders: leadersOf(db.q, walk.id).map((one) => ({ who: `p${one.personId}`, name: one.name })),
    entries: entriesOf(db.q, walk.id).map((one) => rollEntry(one, walk)),
    now: now(),
    closed: rollPhase(walk, now()) === 'over',
  };
}

/** An entry without whose it is. A phone whose clock was set anew while it waited could say any time: none is before the roll opened. Pure. */
export function rollEntry(kept: KeptEntry, walk: Pick<WalkRow, 'gatherAt'>): RollEntry {
  const { entry, who, said, after } = kept;
  return { entry, who, said, after, at: Math.max(heardAt(kept), walk.gatherAt - ROLL_OPENS_MS) };
}
