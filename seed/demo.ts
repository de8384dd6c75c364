import type { Db, Tx } from '../server/db/open.js';
import type { Sealer } from '../server/db/seal.js';
import { groupSettings } from '../server/settings/rules.js';
import { saveSettings } from '../server/settings/store.js';
import { layDownSamples, textInForce } from '../server/texts/store.js';
import { AREAS } from './areas.js';
import { layAsks } from './asks.js';
import { demoBookings } from './bookings.js';
import { chance } from './chance.js';
import { layAttendance, layHazard } from './closing.js';
import { layIncidents } from './incidents.js';
import { layJoining } from './joining.js';
import { COORDINATOR_ID, type DemoLeader, demoLeaders, WALKER_ID } from './leaders.js';
import { layLearning } from './learning.js';
import { DEMO_PEOPLE, type DemoPerson, linksIn } from './links.js';
import { layMessages, thankedAt } from './messages.js';
import { inventWalkers, someone } from './names.js';
import { layNotices } from './notices.js';
import { type Planned, plannedWalks, type Span, spanAround } from './plan.js';
import { layRepeats } from './repeats.js';
import { type LaidWalk, rowWriter } from './rows.js';
import { prepare } from './statements.js';
import { chooseStories } from './stories.js';
import { layTogether } from './together.js';
import { demoWalks } from './walks.js';
import { layWays } from './ways.js';
import { layForecasts } from './weather.js';

const SEED = 20_270_612;
const WALKERS = 300;
const AREA_RADIUS_METRES = 12_000;
/** The group is this much older than its first walk. */
const GROUP_OLDER_MS = 90 * 24 * 60 * 60 * 1000;

const SETTINGS = {
  groupName: 'Harrow Fells Walkers',
  eventName: 'Two Rivers Weekend',
  eventDay: '2027-06-12',
  eventDayMetres: 35_406,
  units: 'mi',
  clock: 12,
  locale: 'en-US',
} as const;

/**
 * Lays the Harrow Fells region around `now` (ms) in one transaction, on a database that holds nobody yet: the same region each time
 * it is laid on the same day. Gives the demo people with a sign-in link each.
 */
export function layDemo(db: Db, sealer: Sealer, now: number, baseUrl: string): { people: DemoPerson[] } {
  const span = spanAround(now);
  const planned = plannedWalks(span, now);
  const leaders = demoLeaders(span);
  return db.write((tx) => {
    const begunAt = Date.parse(`${span.months[0]}-01`) - GROUP_OLDER_MS;
    saveSettings(tx, { ...SETTINGS, planVersion: 1, planChangedAt: begunAt });
    layDownSamples(tx, begunAt);
    layPeople(db, leaders, begunAt);
    layLearning(
      tx,
      leaders.map((leader) => leader.id),
      WALKER_ID,
      { chance: chance(SEED), begunAt },
    );
    layJoining(tx, { sealer, now, today: span.today }, leaders);
    layWalks(tx, { db, sealer, now, begunAt, host: new URL(baseUrl).hostname }, { span, planned, leaders });
    layTogether(tx, { sealer, settings: groupSettings.parse(SETTINGS), now, baseUrl });
    layAsks(tx, { sealer, settings: groupSettings.parse(SETTINGS), now, baseUrl });
    return { people: linksIn(tx, sealer, now, baseUrl) };
  });
}

/** Areas, the coordinator, the leaders with what they promised, and the demo's walker. */
function layPeople(db: Db, leaders: DemoLeader[], createdAt: number): void {
  const insert = prepare(db.raw);
  for (const { walkers: _, ...area } of AREAS) insert.area.run({ ...area, radiusMetres: AREA_RADIUS_METRES, createdAt });
  const [coordinator, , walker] = DEMO_PEOPLE;
  insert.person.run({
    id: COORDINATOR_ID,
    name: coordinator.name,
    email: coordinator.email,
    phone: '+12025550190',
    coordinator: 1,
    createdAt,
  });
  insert.person.run({ id: WALKER_ID, name: walker.name, email: walker.email, phone: demoWalker().phone, coordinator: 0, createdAt });
  for (const { id, name, email, phone, areaId, since, pledge, excused } of leaders) {
    insert.person.run({ id, name, email, phone, coordinator: 0, createdAt });
    insert.leader.run(id, areaId, since, createdAt);
    insert.term.run(id, since, createdAt);
    insert.pledge.run(id, since, pledge);
    for (const { month, reason } of excused) insert.excused.run({ personId: id, month, reason, at: createdAt });
  }
}

function layWalks(
  tx: Tx,
  { now, begunAt, ...ground }: { db: Db; sealer: Sealer; now: number; begunAt: number; host: string },
  { span, planned, leaders }: { span: Span; planned: Planned[]; leaders: DemoLeader[] },
): void {
  const settings = groupSettings.parse(SETTINGS);
  const making = { now, chance: chance(SEED), settings, host: ground.host };
  const stories = chooseStories(planned, span);
  const leaderIn = new Map(leaders.map((leader) => [leader.areaId, leader.id]));
  const areaOf = new Map(planned.map((plan) => [plan.route, plan.area.id]));
  const ways = layWays(tx, areaOf.keys(), { leaderOf: (route) => leaderIn.get(areaOf.get(route) ?? 0) ?? COORDINATOR_ID, now: begunAt });
  const walks = demoWalks(planned, leaders, stories, ways, making);
  const write = rowWriter({ ...ground, rules: textInForce(tx, 'rules'), waiver: textInForce(tx, 'waiver') });
  for (const walk of walks) write.walk(walk);
  layRepeats(tx, walks[planned.indexOf(stories.ridge)], { now, host: ground.host });
  const leadersOwn = [stories.today, stories.leadersNext].map((plan) => walks[planned.indexOf(plan)]);
  layForecasts(leadersOwn, { today: span.today, now, insert: prepare(ground.db.raw) });
  const telling = { tx, now, settings, leaders, write };
  const signUps = demoBookings(planned, walks, stories, inventWalkers(WALKERS - 1), demoWalker(), making).map((laid) => {
    const id = write.signUp(laid);
    layNotices(id, laid, telling);
    return { id, laid };
  });
  layAttendance(ground.db, walks, { now, chance: chance(SEED + 1) });
  layHazard(tx, walks, walks[planned.indexOf(stories.ridge)]);
  const coming = walks[planned.indexOf(stories.leadersNext)];
  const isOver = (walk: LaidWalk) => walk.leaderId === coming?.leaderId && walk.state === 'closed' && thankedAt(walk) < now;
  const over = walks.filter(isOver).at(-1);
  layMessages({ coming, over }, signUps, telling);
  layIncidents(tx, { sealer: ground.sealer, now, today: span.today }, walks.filter(isOver));
}

function demoWalker() {
  return someone(DEMO_PEOPLE[2].name, 'waymeet.example', 199, 'walker');
}
