import { routeById, type StoredRoute } from '../gpx/store.js';
import type { Services } from '../services.js';
import { type CheckAround, type CheckItem, explainedItems, walkCheck } from '../walkcheck/rules.js';
import type { WalkFacts } from './facts.js';
import { finishTimes } from './finish.js';
import type { WalkRow } from './ledby.js';
import { areaOf, factsOf } from './store.js';
import { walkTitle } from './title.js';
import { type Whose, walksAround } from './walks-around.js';

/** What the walk check needs to know of where a walk is. */
export interface Near {
  route: StoredRoute | null;
  area: ReturnType<typeof areaOf>;
}

/** The walk check of a walk: its facts against the day's light, its route and the other walks about. */
export function checkOf(services: Services, facts: WalkFacts, near: Near, whose: Whose): CheckItem[] {
  return walkCheck(facts, {
    ...near,
    settings: services.settings(),
    now: services.now(),
    when: whose.when ?? 'draft',
    others: othersAbout(services, facts, whose),
  });
}

/** Where a walk is, looked up. */
export function nearOf({ db }: Services, facts: WalkFacts): Near {
  const route = facts.routeId === null ? null : (routeById(db.q, facts.routeId) ?? null);
  return { route, area: areaOf(db.q, facts.areaId) };
}

/** What the leader explained of what the check finds on a walk, for its public page. */
export function explainedOf({ settings, now }: Services, walk: WalkRow, near: Near): { title: string; reason: string }[] {
  if (Object.keys(walk.explained).length === 0) return [];
  return explainedItems(walkCheck(factsOf(walk), { ...near, settings: settings(), now: now(), others: [] }));
}

/** Other posted walks of the same hours, in the area or of the same leaders. */
function othersAbout({ db, settings }: Services, facts: WalkFacts, whose: Whose): CheckAround['others'] {
  return walksAround(db.q, facts.gatherAt, whose)
    .filter(({ walk, sameLeader }) => sameLeader || walk.areaId === facts.areaId)
    .map(({ walk, sameLeader }) => ({
      walkId: walk.id,
      title: walkTitle(walk, settings().units),
      href: `/walks/${walk.id}`,
      gatherAt: walk.gatherAt,
      setOffAt: walk.setOffAt,
      endAt: finishTimes(walk, settings()).slowest,
      zone: walk.zone,
      sameLeader,
      sameArea: walk.areaId === facts.areaId,
      distanceMetres: walk.distanceMetres,
    }));
}
