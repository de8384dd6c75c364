import { and, eq, gt } from 'drizzle-orm';
import { resolveWall } from '../calc/zone.js';
import { writeDown } from '../db/audit.js';
import { walks } from '../db/schema/index.js';
import { oweChanges } from '../notices/owe.js';
import type { Services } from '../services.js';
import type { WalkFacts } from './facts.js';
import type { WalkRow } from './ledby.js';
import { oweContext } from './save.js';
import { changeWalk, factsOf } from './store.js';

/**
 * Works the coming walks' instants out anew from the wall time the leader meant. Governments change zones late: where the zone data
 * have been renewed and an instant moved, the walk keeps its wall time, and everyone concerned is told. Gives how many moved; a walk
 * that can't be worked out is logged and left as it is.
 */
export function rederiveComingWalks(services: Services): number {
  const coming = services.db.q
    .select()
    .from(walks)
    .where(and(eq(walks.state, 'posted'), gt(walks.gatherAt, services.now())))
    .all();
  const moved = coming.filter((walk) => {
    try {
      return keepWallTime(services, walk);
    } catch (error) {
      services.log.error({ err: error, walk: walk.id }, 'the instants of a walk could not be worked out anew');
      return false;
    }
  });
  if (moved.length === 0) return 0;
  services.log.warn({ walks: moved.map((walk) => walk.id) }, 'zone data changed: these walks kept their wall time');
  services.mailOwed();
  return moved.length;
}

/** Corrects one walk's instants and owes the news; false where nothing moved. */
function keepWallTime(services: Services, walk: WalkRow): boolean {
  const facts = rederive(factsOf(walk));
  if (!facts) return false;
  const now = services.now();
  const detail = { from: walk.gatherAt, to: facts.gatherAt, zone: walk.zone };
  services.db.write((tx) => {
    changeWalk(tx, walk, facts, { kind: 'zone', by: null, now });
    oweChanges(tx, oweContext(services), walk.id, { offered: false });
    writeDown(tx, { at: now, personId: null, action: 'zone data moved a walk', subject: `walk:${walk.id}`, detail });
  });
  return true;
}

/** The facts with instants as today's zone data give them; null where nothing moved. */
function rederive(facts: WalkFacts): WalkFacts | null {
  const gatherAt = instantNow(facts, facts.gather);
  const setOffAt = instantNow(facts, facts.setOff);
  if (gatherAt === facts.gatherAt && setOffAt === facts.setOffAt) return null;
  return { ...facts, gatherAt, setOffAt };
}

/** A wall time that has become doubled takes the first of the two; one that no longer exists, the first minute after the gap. */
function instantNow(facts: WalkFacts, time: string): number {
  const found = resolveWall(facts.date, time, facts.zone, facts.doubledOffset);
  if ('at' in found) return found.at;
  if ('missing' in found) return found.before;
  const first = found.ask[0];
  if (!first) throw new Error(`${facts.date} ${time} in ${facts.zone} names no instant`);
  return first.at;
}
