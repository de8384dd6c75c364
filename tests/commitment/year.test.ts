import { expect, it } from 'vitest';
import { people } from '../../server/db/schema/index.js';
import { monthWords } from '../../server/web/when.js';
import { openSite } from '../support/app.js';
import { decide, following, going, monthAt, type OracleLeader } from './oracle.js';
import { CHICAGO, HOUR, NEW_YORK } from './stage.js';
import { acts, type Death, type Process, startProcess, type World } from './year.js';

const BEGIN = Date.UTC(2026, 7, 1);
const END = Date.UTC(2027, 7, 1);
/** By three hours while mails may be due, by twelve else. */
const stepAt = (now: number) =>
  ([18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 31, 1].includes(new Date(now).getUTCDate()) ? 3 : 12) * HOUR;
const DAY_OF_MONTH = 20;
const PLACES = [NEW_YORK, CHICAGO, NEW_YORK, CHICAGO, NEW_YORK, CHICAGO, NEW_YORK, CHICAGO];

/** Random numbers that a seed gives again (mulberry32). */
function dice(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

it.each([
  [1, 'a year without a crash', false],
  [4, 'a year of crashes, the mail server and the process away for days', true],
])(
  'each leader gets exactly the mails that are due: seed %i, %s',
  async (seed, _, isRough) => {
    const random = dice(seed);
    const chance = (one: number) => random() < one;
    const site = await openSite();
    site.db.write((tx) =>
      tx.insert(people).values({ name: 'Cora', email: 'cora@waymeet.example', coordinator: true, createdAt: BEGIN }).run(),
    );
    const file = site.db.raw.name;
    const world: World = { now: BEGIN, mailServerIsUp: true, taken: [], death: () => 'none' };
    let process: Process | null = startProcess(site, file, world);
    const leaders = PLACES.map((place, index): OracleLeader & { id: number; walks: { id: number; month: string }[] } => {
      const name = `leader-${index}`;
      return {
        id: acts.approve(site.services, name, place, BEGIN),
        email: `${name}@waymeet.example`,
        zone: place.zone,
        isApproved: true,
        approvedAt: BEGIN,
        askedFrom: '2026-01',
        wants: true,
        excused: new Set(),
        posted: [],
        decided: new Set(),
        waiting: new Set(),
        walks: [],
      };
    });
    // No agreement comes due: its mails are another matter.
    site.db.raw.prepare('UPDATE leaders SET agreement_due_at = ?').run(2 * END);
    const expected: string[] = [];
    let [down, mailDown, routes] = [0, 0, 0];

    /** Somebody does something, while the service is there to take it. */
    const act = (index: number) => {
      const leader = leaders[index];
      const place = PLACES[index];
      if (!leader || !place || !process) return;
      const { services } = process;
      const { now } = world;
      const coming = following(monthAt(now, leader.zone));
      const what = random();
      if (!leader.isApproved && chance(0.4)) {
        acts.bringBack(services, leader.id, coming, now);
        Object.assign(leader, { isApproved: true, approvedAt: now, askedFrom: coming });
      } else if (what < 0.4 && leader.isApproved) {
        routes += 1;
        const month = chance(0.8) ? coming : following(coming);
        leader.walks.push({ id: acts.post(services, leader.id, place, `${month}-${chance(0.5) ? '01' : '28'}`, `Loop ${routes}`), month });
        leader.posted.push(month);
      } else if (what < 0.55) {
        const walk = leader.walks.pop();
        if (!walk) return;
        const kind = chance(0.3) ? 'safety' : 'other';
        acts.cancel(services, walk.id, kind);
        if (kind === 'other') leader.posted.splice(leader.posted.lastIndexOf(walk.month), 1);
      } else if (what < 0.72) {
        acts.excuse(services, leader.id, coming, now);
        leader.excused.add(coming);
      } else if (what < 0.8) {
        acts.takeBack(services, leader.id, coming, now);
        leader.excused.delete(coming);
      } else if (what < 0.9) {
        leader.wants = !leader.wants;
        acts.mails(services, leader.id, leader.wants, now);
      } else if (leader.isApproved && chance(0.6)) {
        acts.standDown(services, leader.id, now);
        leader.isApproved = false;
      }
    };

    for (world.now = BEGIN; world.now < END; world.now += stepAt(world.now)) {
      down = Math.max(0, down - 1);
      mailDown = Math.max(0, mailDown - 1);
      if (isRough && chance(0.008)) down = Math.floor(random() * 40);
      if (isRough && chance(0.03)) mailDown = Math.floor(random() * 60);
      world.mailServerIsUp = mailDown === 0;
      if (down > 0 || (isRough && chance(0.02))) {
        process?.kill();
        process = null;
      }
      if (down > 0) continue;
      process ??= startProcess(site, file, world);
      for (const index of leaders.keys()) if (chance(0.012)) act(index);
      world.death = (): Death => (isRough && chance(0.3) ? (chance(0.5) ? 'before' : 'after') : 'none');
      const before = world.taken.length;
      const isAlive = await process.turn();
      if (!isAlive) process = null;
      decide(leaders, world.now, DAY_OF_MONTH);
      const now = world.taken.slice(before).map((mail) => `${mail.to}: ${mail.subject}`);
      for (const { leader, month } of going(leaders, world.now)) {
        const mail = `${leader.email}: A walk for ${monthWords(month, 'en-US')}?`;
        // A process that died left the rest waiting; the next one goes on with it.
        if (!world.mailServerIsUp || (!isAlive && !now.includes(mail))) continue;
        leader.waiting.delete(month);
        expected.push(mail);
      }
      expect([world.now, [...new Set(distinct(world))].length]).toEqual([world.now, expected.length]);
    }
    process?.kill();

    expect(distinct(world).sort()).toEqual([...expected].sort());
    expect(expected.length).toBeGreaterThan(15);
    // Only a death between the acceptance and the record repeats a mail, and the copy is the same one to any mail program.
    if (!isRough) expect(ofMonths(world)).toHaveLength(expected.length);
  },
  60_000,
);

/** What the server took; but for reminders of walks that nobody closed: here nobody closes one. */
function ofMonths({ taken }: World): World['taken'] {
  return taken.filter((mail) => !mail.subject.startsWith('Not closed yet: '));
}

/** Each mail once: by its Message-ID, which a copy shares. */
function distinct(world: World): string[] {
  return [...new Map(ofMonths(world).map((mail) => [mail.messageId, `${mail.to}: ${mail.subject}`])).values()];
}
