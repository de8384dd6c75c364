import { type HazardWords, hazardWords } from '../day/hazard-words.js';
import { hazardsOn } from '../day/hazards-store.js';
import { routeById, type StoredRoute } from '../gpx/store.js';
import type { Services } from '../services.js';
import { type CheckItem, explainedItems, type OtherWalk, walkCheck } from '../walkcheck/rules.js';
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
  hazards?: HazardWords[];
}

/** The walk check of a walk: its facts against the day's light, its route and the other walks about. */
export function checkOf(services: Services, facts: WalkFacts, near: Near, whose: Whose): CheckItem[] {
  const around = { ...near, settings: services.settings(), now: services.now(), when: whose.when ?? 'draft' };
  return walkCheck(facts, { ...around, others: othersOf(facts, walksAbout(services, [facts], whose)) });
}

/** The same of one walk on each of several dates, for one leader: with one query for them all, and each against the others. */
export function checksOnDates(services: Services, dates: WalkFacts[], near: Near, whose: Whose): CheckItem[][] {
  const about = walksAbout(services, dates, whose);
  const around = { ...near, settings: services.settings(), now: services.now(), when: whose.when ?? 'draft' };
  const own = dates.map((facts) => ownOther(services, facts));
  return dates.map((facts, index) =>
    walkCheck(facts, { ...around, others: [...othersOf(facts, about), ...own.filter((_, other) => other !== index)] }),
  );
}

/** Where a walk is, looked up. */
export function nearOf({ db, settings }: Services, facts: WalkFacts): Near {
  const route = facts.routeId === null ? null : (routeById(db.q, facts.routeId) ?? null);
  const area = areaOf(db.q, facts.areaId);
  return { route, area, hazards: hazardsOn(db.q, facts).map((one) => hazardWords(one, area.zone, settings())) };
}

/** What the leader explained of what the check finds on a walk, for its public page. */
export function explainedOf({ settings, now }: Services, walk: WalkRow, near: Near): { title: string; reason: string }[] {
  if (Object.keys(walk.explained).length === 0) return [];
  return explainedItems(walkCheck(factsOf(walk), { ...near, settings: settings(), now: now(), others: [] }));
}

type About = OtherWalk & { areaId: number };

/** Other posted walks about some walks, in their areas or of the same leaders. */
function walksAbout({ db, settings }: Services, all: WalkFacts[], whose: Whose): About[] {
  const ats = all.map((facts) => facts.gatherAt);
  return walksAround(db.q, ats, whose).map(({ walk, sameLeader }) => ({
    walkId: walk.id,
    title: walkTitle(walk, settings().units),
    href: `/walks/${walk.id}`,
    gatherAt: walk.gatherAt,
    setOffAt: walk.setOffAt,
    endAt: finishTimes(walk, settings()).slowest,
    zone: walk.zone,
    sameLeader,
    sameArea: false,
    distanceMetres: walk.distanceMetres,
    areaId: walk.areaId,
  }));
}

function othersOf(facts: WalkFacts, about: About[]): OtherWalk[] {
  return about
    .map((other) => ({ ...other, sameArea: other.areaId === facts.areaId }))
    .filter((other) => other.sameLeader || other.sameArea);
}

/** A walk that has no number yet, as the others of its series meet it. */
function ownOther({ settings }: Services, facts: WalkFacts): OtherWalk {
  return {
    walkId: 0,
    title: walkTitle(facts, settings().units),
    href: '',
    gatherAt: facts.gatherAt,
    setOffAt: facts.setOffAt,
    endAt: finishTimes(facts, settings()).slowest,
    zone: facts.zone,
    sameLeader: true,
    sameArea: true,
    distanceMetres: facts.distanceMetres,
  };
}
