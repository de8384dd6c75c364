import { and, eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { leaderAreas, leaders, notices, people, sessions, walkLeaders, walks } from '../../server/db/schema/index.js';
import { companionsOf, isFirstShared, isNewLeader } from '../../server/joining/first-walk-store.js';
import { approveLeader } from '../../server/leaders/store.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { NOON } from '../support/app.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { laySeries } from '../support/series.js';
import { DAY, type Joining, openJoining } from './stage.js';

let stage: Joining;
beforeEach(async () => {
  stage = await openJoining();
});

const ABOUT = {
  ...{ area: 'east-fork', otherAreas: 'lantern-hills', days: ['2', '6'], shortest: '3', longest: '12.5' },
  ...{ firstAidUntil: '2027-03-01', offersFirst: 'yes' },
};

describe('what a leader says of themself', () => {
  it('is kept, comes back as it was typed, and can be emptied', async () => {
    const leader = stage.cast.browser('leader');
    const answer = await leader.post('/lead/about', ABOUT);
    expect([answer.status, answer.headers.location]).toEqual([303, '/lead/about?saved=1']);
    expect(formFields((await leader.get('/lead/about')).text)).toMatchObject(ABOUT);
    await leader.post('/lead/about', { area: 'lantern-hills' });
    const row = stage.site.db.q.select().from(leaders).where(eq(leaders.personId, stage.cast.ids.leader)).get();
    expect(row).toMatchObject({ areaId: 1, days: [], longestMetres: null, shortestMetres: null, firstAidUntil: null, offersFirst: false });
    expect(stage.site.db.q.select().from(leaderAreas).all()).toEqual([]);
  });

  it("shows the coordinators what is said on the leader's page, and that the certificate has expired", async () => {
    await stage.cast.browser('leader').post('/lead/about', ABOUT);
    const page = async () => (await stage.cast.browser('coordinator').get(`/coordinate/leaders/${stage.cast.ids.leader}`)).text;
    expect(await page()).toContain('first aid until Mon, Mar 1, 2027');
    stage.site.clock.now = Date.UTC(2027, 2, 2, 12);
    expect(await page()).toContain('first aid expired Mon, Mar 1, 2027');
    expect((await stage.cast.browser('leader').get('/lead/about')).text).toContain('Expired: has it been renewed?');
  });
});

describe('stopping', () => {
  it('lists the coming walks, asks first, and then stands the leader down and tells the coordinators', async () => {
    const leader = stage.cast.browser('leader');
    const asked = await leader.get('/lead/about/leave');
    expect(asked.text).toContain('You still lead a coming walk');
    expect(asked.text).toContain(`href="/lead/walks/${stage.cast.walkId}/together"`);
    const answer = await leader.post('/lead/about/leave');
    expect([answer.status, answer.headers.location]).toEqual([303, '/lead/join?left=1']);
    expect((await leader.get('/lead/join?left=1')).text).toContain('You do not lead any more.');
    expect((await leader.get('/lead')).status).toBe(403);
    expect((await leader.post('/lead/about/leave')).status).toBe(403);
    expect(stage.owed()).toEqual(['leader-left coordinator@waymeet.example: Lena Marsh stops leading walks']);
    expect(stage.site.db.q.select().from(walks).where(eq(walks.id, stage.cast.walkId)).get()?.state).toBe('posted');
    expect(stage.site.db.q.select().from(sessions).where(eq(sessions.personId, stage.cast.ids.leader)).all()).toHaveLength(1);
  });
});

describe('a leader of more coming walks than a page lists', () => {
  it('is said to have as many as they have, before and after they stop', async () => {
    const dates = Array.from({ length: 59 }, (_, day) => new Date(Date.UTC(2026, 11, 6 + day)).toISOString().slice(0, 10));
    laySeries(stage.site, stage.cast.ids.leader, dates);
    const asked = (await stage.cast.browser('leader').get('/lead/about/leave')).text;
    expect(asked).toContain('You still lead 60 coming walks');
    expect(asked).toContain('and 10 more');
    const coordinator = stage.cast.browser('coordinator');
    const leaders = (query: string) => coordinator.get(`/coordinate/leaders?${query}=${stage.cast.ids.leader}`);
    expect((await leaders('stand-down')).text).toContain('They lead 60 coming walks, which stay posted');
    await stage.cast.browser('leader').post('/lead/about/leave');
    expect((await leaders('done')).text).toMatch(/60 coming walks need a leader:[\s\S]*and 10 more/);
    const [{ content } = { content: null }] = stage.site.db.q.select().from(notices).where(eq(notices.kind, 'leader-left')).all();
    expect(JSON.stringify(content)).toContain('60 coming walks');
  });
});

describe('the first walk', () => {
  const now = () => stage.site.clock.now;
  const isNew = () => isNewLeader(stage.site.db.q, stage.cast.ids.leader, now());
  const names = () => companionsOf(stage.site.db.q, stage.cast.ids['other leader'], now()).map((one) => one.name);

  /** Walks that the leader posted, a day apart; gives when the last sets off, ms. */
  function lead(count: number): number {
    const walkIds = Array.from({ length: count }, (_, index) =>
      saveNewWalk(
        stage.site.services,
        walkFacts({ routeName: `Round ${index}`, date: `2026-12-0${index + 1}` }),
        stage.cast.ids.leader,
        'posted',
      ),
    );
    return (
      stage.site.db.q
        .select()
        .from(walks)
        .where(eq(walks.id, walkIds.at(-1) ?? 0))
        .get()?.setOffAt ?? 0
    );
  }

  it('has not been until one that they lead or share sets off', () => {
    const setsOff = lead(1);
    stage.site.clock.now = setsOff - 1;
    expect(isNew()).toBe(true);
    stage.site.clock.now = setsOff;
    expect(isNew()).toBe(false);
  });

  it('has been when it was shared, and not when it was cancelled', () => {
    const { db } = stage.site;
    const setsOff = lead(1);
    stage.site.clock.now = setsOff;
    const { 'other leader': other } = stage.cast.ids;
    expect(isNewLeader(db.q, other, now())).toBe(true);
    db.write((tx) => tx.insert(walkLeaders).values({ walkId: 3, personId: other, part: 'co-leader' }).run());
    expect(isNewLeader(db.q, other, now())).toBe(false);
    db.raw.exec("UPDATE walks SET state = 'cancelled', cancel_kind = 'safety' WHERE id = 3");
    expect(isNewLeader(db.q, other, now())).toBe(true);
  });

  it('is offered by those who have led three that set off and lead in a common area', () => {
    const { db } = stage.site;
    const setsOff = lead(3);
    const set = (row: Partial<typeof leaders.$inferInsert>) =>
      db.write((tx) => tx.update(leaders).set(row).where(eq(leaders.personId, stage.cast.ids.leader)).run());
    stage.site.clock.now = setsOff;
    expect(names()).toEqual([]);
    set({ offersFirst: true });
    expect(names()).toEqual(['Lena Marsh']);
    stage.site.clock.now = setsOff - 1;
    expect(names()).toEqual([]);
    stage.site.clock.now = setsOff;
    set({ areaId: 2 });
    expect(names()).toEqual([]);
    db.write((tx) => tx.insert(leaderAreas).values({ personId: stage.cast.ids['other leader'], areaId: 2 }).run());
    expect(names()).toEqual(['Lena Marsh']);
    set({ state: 'stood_down' });
    expect(names()).toEqual([]);
  });

  it('is offered by those of the home area first, whatever their names', () => {
    const { db } = stage.site;
    stage.site.clock.now = lead(3);
    const set = (personId: number, row: Partial<typeof leaders.$inferInsert>) =>
      db.write((tx) => tx.update(leaders).set(row).where(eq(leaders.personId, personId)).run());
    const { leader, 'other leader': other } = stage.cast.ids;
    const abe = db.write((tx) =>
      approveLeader(
        tx,
        { name: 'Abe Ames', email: 'abe@walkers.example', phone: '+12025550150', areaId: 2, pledge: 1, month: '2026-11' },
        leader,
        0,
      ),
    );
    for (const date of ['2026-12-01', '2026-12-02', '2026-12-03'])
      saveNewWalk(stage.site.services, walkFacts({ date, routeName: `A ${date}` }), abe, 'posted');
    for (const id of [leader, abe]) set(id, { offersFirst: true });
    db.write((tx) => tx.insert(leaderAreas).values({ personId: other, areaId: 2 }).run());
    expect(names()).toEqual(['Lena Marsh', 'Abe Ames']);
    set(other, { areaId: 2 });
    db.write((tx) => tx.insert(leaderAreas).values({ personId: other, areaId: 1 }).onConflictDoNothing().run());
    expect(names()).toEqual(['Abe Ames', 'Lena Marsh']);
  });

  it('is arranged once a walk to come is shared with someone experienced', async () => {
    const { db, services, clock } = stage.site;
    const { leader, 'other leader': other } = stage.cast.ids;
    const setsOff = lead(3);
    const walkId = saveNewWalk(services, walkFacts({ date: '2026-12-12', routeName: 'First' }), other, 'posted');
    db.write((tx) => tx.insert(walkLeaders).values({ walkId, personId: leader, part: 'co-leader' }).run());
    const shared = (at: number) => isFirstShared(db.q, other, at);
    expect([shared(setsOff - 1), shared(setsOff)]).toEqual([false, true]);
    const gathers = db.q.select().from(walks).where(eq(walks.id, walkId)).get()?.gatherAt ?? 0;
    expect([shared(gathers - 1), shared(gathers)]).toEqual([true, false]);
    clock.now = setsOff;
    const page = async () => (await stage.cast.browser('other leader').get('/lead')).text;
    expect(await page()).not.toContain('Lead your first walk together');
    db.write((tx) =>
      tx
        .delete(walkLeaders)
        .where(and(eq(walkLeaders.walkId, walkId), eq(walkLeaders.personId, leader)))
        .run(),
    );
    expect(await page()).toMatch(/Lead your first walk together[\s\S]*Your commitment/);
  });

  it('is spoken of to new leaders alone, with whom to ring, or the coordinator', async () => {
    const other = stage.cast.browser('other leader');
    for (const path of ['/lead', '/lead/walks/new']) {
      const { text } = await other.get(path);
      expect(text).toContain('Lead your first walk together');
      expect(text).toContain('ask your coordinator whom to ring');
    }
    const { db } = stage.site;
    const makeCoordinator = (coordinator: boolean) =>
      db.write((tx) => tx.update(people).set({ coordinator }).where(eq(people.id, stage.cast.ids['other leader'])).run());
    makeCoordinator(true);
    expect((await other.get('/lead')).text).toContain('ask another leader.');
    makeCoordinator(false);
    stage.site.clock.now = lead(3);
    stage.site.db.write((tx) => tx.update(leaders).set({ offersFirst: true }).where(eq(leaders.personId, stage.cast.ids.leader)).run());
    expect((await other.get('/lead')).text).toContain('href="tel:+12025550110"');
    expect((await stage.cast.browser('leader').get('/lead')).text).not.toContain('first walk together');
    expect(now()).toBeGreaterThan(NOON + DAY);
  });
});
