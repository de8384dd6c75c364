import type { FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { arrivalTimes } from '../walks/finish.js';
import type { WalkRow } from '../walks/ledby.js';
import { factsOf, leadersOf } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import type { RollEntry, RollPerson, RollState } from './contract.js';
import { ROLL_OPENS_MS, rollPhase } from './opening.js';
import { entriesOf, heardAt, type KeptEntry, rosterOf } from './store.js';

export type { RollEntry, RollPerson, RollState };

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
