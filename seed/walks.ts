import type { GroupSettings } from '../server/settings/rules.js';
import { movedWords } from '../server/walks/edit.js';
import type { WalkFacts } from '../server/walks/facts.js';
import { finishTimes } from '../server/walks/finish.js';
import type { Chance } from './chance.js';
import { assignLeaders, type DemoLeader } from './leaders.js';
import type { Planned } from './plan.js';
import type { Route } from './routes.js';
import type { LaidWalk, Version } from './rows.js';
import { explainedStill, seenBefore } from './seen.js';
import type { Stories } from './stories.js';
import { type LaidWay, walkFacts } from './walk-facts.js';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const CLOSED_AFTER_FINISH_MS = 20 * MINUTE_MS;

const STORM = 'Storm warning from noon: lightning and gusts on the open shore. We will try again in two weeks.';
/** Where the edited walk was to gather before it was moved. */
const MOVED_FROM = { meetingPoint: 'Lake road lay-by', landmark: 'the wooden shelter, lake side', lat: 37.59107, lon: -86.43388 };

/** What every walk is made with. */
export interface Making {
  now: number;
  chance: Chance;
  settings: Pick<GroupSettings, 'fastPace' | 'slowPace'>;
  host: string;
}

/** The demo's walks with their history, numbered in the order of their days. */
export function demoWalks(
  planned: Planned[],
  leaders: DemoLeader[],
  stories: Stories,
  ways: Map<Route, LaidWay>,
  making: Making,
): LaidWalk[] {
  const led = assignLeaders(planned, leaders, stories.leadersOwn);
  return planned.map((plan, index) => {
    const capacity = plan === stories.full ? 12 : making.chance.whole(6, 12) * 2;
    const route = walkFacts(plan.area, plan.route, plan, capacity, ways.get(plan.route));
    // A family comes along on this one, however long.
    const facts = plan === stories.leadersNext ? { ...route, minors: true } : route;
    const walk = layWalk({ id: index + 1, facts, leaderId: led[index]?.leaderId ?? 0, coLeaderId: led[index]?.coLeaderId ?? null }, making);
    if (plan === stories.notClosed) return { ...walk, state: 'posted', closedAt: null };
    if (plan === stories.edited) return movedWalk(walk, making.now - 26 * HOUR_MS);
    if (plan === stories.cancelled) return cancelledWalk(walk, making.now - 3 * HOUR_MS);
    return walk;
  });
}

/** A posted walk, closed where everyone must be back by now. One in four was a draft first. */
export function layWalk(
  walk: { id: number; facts: WalkFacts; leaderId: number; coLeaderId: number | null },
  { now, chance, settings, host }: Making,
): LaidWalk {
  const wanted = walk.facts.gatherAt - chance.whole(18 * 24, 40 * 24) * HOUR_MS;
  const latest = now - chance.whole(3 * 24, 14 * 24) * HOUR_MS;
  const postedAt = Math.min(wanted, latest);
  const { slowest } = finishTimes(walk.facts, settings);
  const closedAt = slowest + CLOSED_AFTER_FINISH_MS;
  const facts = {
    ...walk.facts,
    seenOn: seenBefore(postedAt, walk.facts.zone, chance),
    explained: explainedStill(walk.facts, slowest),
  };
  const posted: Version = { kind: 'posted', facts, at: postedAt };
  return {
    ...walk,
    facts,
    uid: `walk-${walk.id}@${host}`,
    month: facts.date.slice(0, 7),
    versions: chance.happens(0.25) ? [{ kind: 'created', facts, at: postedAt - DAY_MS }, posted] : [posted],
    sequence: 0,
    moved: '',
    postedAt,
    ...(closedAt < now ? { state: 'closed', closedAt } : { state: 'posted', closedAt: null }),
    cancelled: null,
  };
}

/** The walk as if it had been posted at another meeting point and moved at `at`. */
function movedWalk(walk: LaidWalk, at: number): LaidWalk {
  const before = { ...walk.facts, ...MOVED_FROM };
  const [first, ...more] = walk.versions.map((version) => ({ ...version, facts: before }));
  if (!first) throw new Error('a walk has a first version');
  return {
    ...walk,
    versions: [first, ...more, { kind: 'edited', facts: walk.facts, at }],
    sequence: 1,
    moved: movedWords(before, walk.facts, ''),
  };
}

function cancelledWalk(walk: LaidWalk, at: number): LaidWalk {
  const versions: LaidWalk['versions'] = [...walk.versions, { kind: 'cancelled', facts: walk.facts, at }];
  return { ...walk, versions, sequence: 1, state: 'cancelled', cancelled: { kind: 'safety', reason: STORM, at } };
}
