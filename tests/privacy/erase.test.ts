import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { asc, eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { notices, partyMembers, people, signUps, walkLeaders, walks } from '../../server/db/schema/index.js';
import type { NoticeKind } from '../../server/notices/content.js';
import { mailMaker } from '../../server/notices/mail.js';
import { eraseFaults } from '../../server/privacy/erase-rules.js';
import { addressMark, erasureProof } from '../../server/privacy/marks.js';
import { readTombstones } from '../../server/privacy/tombstones.js';
import { signUpToken } from '../../server/signups/link.js';
import { keepSignUp, withdrawSignUp } from '../../server/signups/store.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { passingFolder } from '../support/folder.js';
import { member, signUpForm } from '../support/sign-up.js';

const HOUR_MS = 60 * 60_000;
const WALKER = 'walker@waymeet.example';

function signUp(site: TestSite, walkId: number, email: string, names: string[] = ['Ana Ferreira']): number {
  const members = names.map((name) => member({ name }));
  const kept = site.db.write((tx) => keepSignUp(tx, site.services, walkId, signUpForm({ email, name: names[0] ?? '', members })));
  return 'kept' in kept ? kept.kept : 0;
}

function mailOf(site: TestSite, kind: NoticeKind) {
  return site.db.q.select().from(notices).where(eq(notices.kind, kind)).all();
}

function ownFolder(): string {
  return passingFolder();
}

describe('the page that asks before erasing', () => {
  it('says what goes, what stays, and which walks are withdrawn', async () => {
    const site = await openSite();
    const cast = layCast(site);
    signUp(site, cast.walkId, WALKER);
    const { text, status, headers } = await cast.browser('walker').get('/me/erase');
    expect([status, headers['cache-control']]).toEqual([200, 'no-store']);
    expect(text).toContain('the 8-mile walk: Quarry Lakes loop, Lantern Hills on Sat, Dec 5, 2026');
    expect(text).toContain('signed waivers, as evidence');
    expect(text).toContain('is told by mail, without your name');
    expect(text).toContain('name="sure"');
  });

  it('asks again where the box is not ticked, and erases nothing', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    for (const fields of [{}, { sure: 'no' }, { sure: '' }]) {
      const answer = await cast.browser('walker').post('/me/erase', fields as Record<string, string>);
      expect(answer.status).toBe(422);
      expect(answer.text).toContain('<title>Error: Erase me');
      expect(answer.text).toContain('Tick that you are sure.');
    }
    expect(site.db.q.select().from(people).where(eq(people.email, WALKER)).all()).toHaveLength(1);
    expect(readTombstones(site.config.dataDir, site.services.sealer).size).toBe(0);
  });

  it('refuses a leader whose walk is to come, or under way and not closed', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    const browser = cast.browser('leader');
    const post = () => browser.post('/me/erase', { sure: 'yes' });
    const [walk] = site.db.q.select().from(walks).where(eq(walks.id, cast.walkId)).all();
    const gatherAt = walk?.gatherAt ?? 0;
    const before = await post();
    expect(before.status).toBe(422);
    expect(before.text).toContain(
      'You lead the 8-mile walk: Quarry Lakes loop, Lantern Hills on Sat, Dec 5, 2026. Hand it over or cancel it first',
    );
    expect(before.text).not.toContain('name="sure"');
    site.clock.now = gatherAt + 48 * HOUR_MS - 1;
    expect((await post()).status).toBe(422);
    site.clock.now = gatherAt + 48 * HOUR_MS;
    expect((await post()).status).toBe(303);
  });

  it('lets a leader go whose walk is cancelled or closed, and a co-leader, who then shares it no more', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    expect((await cast.browser('co-leader').post('/me/erase', { sure: 'yes' })).status).toBe(303);
    expect(site.db.q.select().from(walkLeaders).where(eq(walkLeaders.personId, cast.ids['co-leader'])).all()).toEqual([]);
    const browser = cast.browser('leader');
    site.db.write((tx) => tx.update(walks).set({ state: 'closed', closedAt: NOON }).where(eq(walks.id, cast.walkId)).run());
    expect((await browser.post('/me/erase', { sure: 'yes' })).status).toBe(303);
  });

  it('refuses the last coordinator', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    const browser = cast.browser('coordinator');
    const alone = await browser.post('/me/erase', { sure: 'yes' });
    expect(alone.status).toBe(422);
    expect(alone.text).toContain('You are the only coordinator');
    site.db.write((tx) =>
      tx
        .insert(people)
        .values({ name: 'Col Ray', email: 'col@waymeet.example', coordinator: true, createdAt: NOON, disabledAt: NOON })
        .run(),
    );
    expect((await browser.post('/me/erase', { sure: 'yes' })).status).toBe(422);
    site.db.write((tx) => tx.update(people).set({ disabledAt: null }).where(eq(people.email, 'col@waymeet.example')).run());
    expect((await browser.post('/me/erase', { sure: 'yes' })).status).toBe(303);
  });

  it('names every hindrance, and asks for the tick only where there is none', () => {
    expect(Object.keys(eraseFaults({ leads: ['the walk'], lastCoordinator: true }, false))).toEqual(['leads', 'coordinator']);
    expect(eraseFaults({ leads: ['a', 'b'], lastCoordinator: false }, true).leads).toContain('You lead 2 walks. Hand them over');
    expect(Object.keys(eraseFaults({ leads: [], lastCoordinator: false }, false))).toEqual(['sure']);
    expect(eraseFaults({ leads: [], lastCoordinator: false }, true)).toEqual({});
  });
});

describe('erasing a walker', () => {
  it('withdraws, gives the places to those who wait, signs out, and leaves links that lead nowhere', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    site.db.write((tx) => tx.update(walks).set({ capacity: 2 }).where(eq(walks.id, cast.walkId)).run());
    const own = signUp(site, cast.walkId, WALKER, ['Wendel Ames', 'Mia Ames']);
    const waiting = signUp(site, cast.walkId, 'wait@walkers.example', ['Will Wait', 'Wilma Wait']);
    const browser = cast.browser('walker');
    const answer = await browser.post('/me/erase', { sure: 'yes' });
    expect([answer.status, answer.headers.location]).toEqual([303, '/me/erased']);
    expect(String(answer.headers['set-cookie'])).toMatch(/session=;/);
    const states = site.db.q.select({ id: signUps.id, state: signUps.state }).from(signUps).orderBy(asc(signUps.id)).all();
    expect(states).toEqual([
      { id: own, state: 'withdrawn' },
      { id: waiting, state: 'confirmed' },
    ]);
    expect((await browser.get('/me')).status).toBe(303);
    expect((await cast.browser('nobody').get('/me/erased')).text).toContain('You have been erased');
    expect((await cast.browser('nobody').get(`/sign-ups/${signUpToken(site.services.sealer, own)}`)).status).toBe(404);
    expect(site.db.q.select().from(people).where(eq(people.id, cast.ids.walker)).all()).toEqual([]);
    const mail = site.db.raw.prepare('SELECT to_email, kind FROM notices ORDER BY id').all();
    expect(mail).toContainEqual({ to_email: 'wait@walkers.example', kind: 'place-freed' });
    expect(mail.filter((one) => (one as { to_email: string }).to_email === WALKER)).toEqual([]);
  });

  it('takes an absent adult and their child out of a party to come, and gives their places on', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    site.db.write((tx) => tx.update(walks).set({ capacity: 3 }).where(eq(walks.id, cast.walkId)).run());
    const party = signUp(site, cast.walkId, 'ana@walkers.example', ['Ana Ferreira', 'Wendel Ames', 'Wim Ames']);
    const waiting = signUp(site, cast.walkId, 'wait@walkers.example', ['Will Wait', 'Wilma Wait']);
    const [, absent, child] = site.db.q.select().from(partyMembers).where(eq(partyMembers.signUpId, party)).all();
    site.db.write((tx) => {
      tx.update(partyMembers)
        .set({ email: WALKER })
        .where(eq(partyMembers.id, absent?.id ?? 0))
        .run();
      tx.update(partyMembers)
        .set({ minor: true, guardianId: absent?.id ?? 0 })
        .where(eq(partyMembers.id, child?.id ?? 0))
        .run();
    });
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    const rows = site.db.q.select().from(partyMembers).where(eq(partyMembers.signUpId, party)).all();
    expect(rows.map(({ name, email, removedAt }) => [name, email, removedAt])).toEqual([
      ['Ana Ferreira', null, null],
      ['Erased', null, NOON],
      ['Erased', null, NOON],
    ]);
    const parties = site.db.q.select().from(signUps).orderBy(asc(signUps.id)).all();
    expect(parties.map(({ id, state, partySize }) => [id, state, partySize])).toEqual([
      [party, 'confirmed', 1],
      [waiting, 'confirmed', 2],
    ]);
  });

  it('tells whoever booked for them that they do not come, without their name', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    const members = [member({ name: 'Ana Ferreira' }), member({ name: 'Wendel Ames', email: WALKER, signature: '', contact: null })];
    site.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm({ members })));
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    const left = mailOf(site, 'left');
    expect(left).toMatchObject([
      {
        toEmail: 'ana@walkers.example',
        state: 'pending',
        content: { walk: { left: ['[name erased]'], signUp: { party: ['Ana Ferreira'] } } },
      },
    ]);
    const made = left.map((one) => mailMaker(site.services, site.views).make(one));
    expect(made.map((mail) => mail.subject)).toEqual([expect.stringContaining('Not coming: [name erased], ')]);
    expect(made[0]?.text).toContain('Still coming with your sign-up: Ana Ferreira.');
    expect(JSON.stringify(site.db.q.select().from(notices).all())).not.toContain('Wendel');
  });

  it('tells the absent adults of their party that nobody expects them, and tells nobody of a walk that is cancelled', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    const other = saveNewWalk(site.services, walkFacts({ routeName: 'Next' }), cast.ids.leader, 'posted');
    const members = [
      member({ name: 'Wendel Ames' }),
      member({ name: 'Ben Birch', email: 'ben@walkers.example', signature: '', contact: null }),
    ];
    for (const walkId of [cast.walkId, other])
      site.db.write((tx) => keepSignUp(tx, site.services, walkId, signUpForm({ email: WALKER, name: 'Wendel Ames', members })));
    site.db.write((tx) => {
      tx.update(notices).set({ state: 'sent' }).run();
      tx.update(walks)
        .set({ state: 'cancelled', cancelKind: 'other', cancelReason: 'Ice', cancelledAt: NOON })
        .where(eq(walks.id, other))
        .run();
    });
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    expect(mailOf(site, 'member-news')).toMatchObject([
      {
        toEmail: 'ben@walkers.example',
        walkId: cast.walkId,
        content: { walk: { member: { news: 'gone', bookedBy: '[name erased]' }, signUp: { party: ['Ben Birch'] } } },
      },
    ]);
    expect(JSON.stringify(site.db.q.select().from(notices).all())).not.toContain('Wendel');
  });

  it('tells a booker who withdrew nothing', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    const members = [member({ name: 'Ana Ferreira' }), member({ name: 'Wendel Ames', email: WALKER, signature: '', contact: null })];
    const kept = site.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm({ members })));
    withdrawSignUp(site.services, 'kept' in kept ? kept.kept : 0);
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    expect(mailOf(site, 'left')).toEqual([]);
  });

  it('withdraws a party that has nobody else left', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    const party = signUp(site, cast.walkId, 'ana@walkers.example');
    site.db.write((tx) => tx.update(partyMembers).set({ email: WALKER }).where(eq(partyMembers.signUpId, party)).run());
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    expect(site.db.q.select().from(signUps).all()).toMatchObject([{ state: 'withdrawn', partySize: 1, email: 'ana@walkers.example' }]);
  });

  it('writes the mark beside the database first, on lines of their own', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    await cast.browser('other walker').post('/me/erase', { sure: 'yes' });
    const file = join(site.config.dataDir, 'erased.list');
    expect(existsSync(file)).toBe(true);
    const marks = [WALKER, 'other@waymeet.example'].map((email) => addressMark(site.services.sealer, email));
    expect(readFileSync(file, 'utf8')).toBe(
      marks.map((mark) => `${mark} 2026-11-25T12:00:00.000Z ${erasureProof(site.services.sealer, mark, NOON)}\n`).join(''),
    );
    expect(site.db.raw.prepare('SELECT mark FROM erased ORDER BY mark').pluck().all()).toEqual([...marks].sort());
  });

  it('lets them come back as somebody new', async () => {
    const site = await openSite({ DATA_DIR: ownFolder() });
    const cast = layCast(site);
    signUp(site, cast.walkId, WALKER);
    await cast.browser('walker').post('/me/erase', { sure: 'yes' });
    expect(signUp(site, cast.walkId, WALKER)).toBeGreaterThan(0);
    expect(saveNewWalk(site.services, walkFacts({ routeName: 'Next' }), cast.ids.leader, 'posted')).toBeGreaterThan(0);
  });
});
