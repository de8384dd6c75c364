import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import {
  applications,
  auditLog,
  leaderAreas,
  leaders,
  notices,
  people,
  pledges,
  quizAttempts,
  sessions,
} from '../../server/db/schema/index.js';
import { HANDBOOK } from '../../server/handbook/pages.js';
import { markRead } from '../../server/handbook/store.js';
import { newlyReady, oweReady } from '../../server/joining/ready.js';
import { GRACE_MS, monthsLater } from '../../server/joining/renewal.js';
import { keepApplication } from '../../server/joining/store.js';
import { mailMaker } from '../../server/notices/mail.js';
import { oweContext } from '../../server/walks/save.js';
import { NOON } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { DAY, type Joining, openJoining } from './stage.js';

let stage: Joining;
let coordinator: Browser;
beforeEach(async () => {
  stage = await openJoining();
  coordinator = stage.cast.browser('coordinator');
});

const PAGE = '/coordinate/applications/1';

/** Has someone read the whole handbook. */
function readAll(visitor: 'walker' | 'other walker' = 'walker'): void {
  stage.site.db.write((tx) => {
    for (const { slug } of HANDBOOK) markRead(tx, stage.cast.ids[visitor], slug, NOON);
  });
}

/** The same, and has passed the quiz. */
function learnAll(visitor: 'walker' | 'other walker' = 'walker'): void {
  readAll(visitor);
  const passed = { passPercent: 80, startedAt: NOON, endedAt: NOON, rightCount: 10, passed: true };
  stage.site.db.write((tx) =>
    tx
      .insert(quizAttempts)
      .values({ ...passed, personId: stage.cast.ids[visitor] })
      .run(),
  );
}

async function takeAll(): Promise<void> {
  await stage.apply();
  await stage.sign('walker', 'Wendel Ames');
  learnAll();
}

function tellReady(): void {
  const { db, services } = stage.site;
  db.write((tx) => oweReady(tx, oweContext(services)));
}

function leaderRow() {
  return stage.site.db.q.select().from(leaders).where(eq(leaders.personId, stage.cast.ids.walker)).get();
}

const to = (kind: string) => stage.owed().filter((line) => line.startsWith(`${kind} `));

/** How many queries it takes to find who is ready. */
function queries(): number {
  const { db, services } = stage.site;
  const asked = vi.spyOn(Object.getPrototypeOf(db.raw.prepare('SELECT 1')), 'all');
  newlyReady(db.q, oweContext(services));
  const { length } = asked.mock.calls;
  asked.mockRestore();
  return length;
}

describe('an agreement in another name than the application', () => {
  it('is to be signed again, is shown to the coordinators, and counts for nothing until then', async () => {
    await takeAll();
    tellReady();
    const walker = stage.cast.browser('walker');
    await stage.apply({ name: 'wendel  AMES' });
    expect((await coordinator.get(PAGE)).text).toContain('Every step is done');
    await stage.apply({ name: 'Zed Other' });
    expect((await walker.get('/lead/join')).text).toContain('Signed as Wendel Ames. Sign with your name.');
    const page = (await coordinator.get(PAGE)).text;
    expect(page).toContain('signed as Wendel Ames');
    expect(page).toContain('Agreement signed as <b>Wendel Ames</b>');
    expect((await coordinator.post(`${PAGE}/approve`, { pledge: '1' })).status).toBe(422);
    expect(await stage.sign('walker', 'Wendel Ames')).toBe(422);
    expect(await stage.sign('walker', 'Zed Other')).toBe(303);
    expect((await coordinator.get(PAGE)).text).toContain('Agreement signed as <b>Zed Other</b>');
    expect((await coordinator.post(`${PAGE}/approve`, { pledge: '1' })).status).toBe(303);
  });

  it('gives thirty days to sign, not a year, to one who is approved all the same', async () => {
    await takeAll();
    await stage.apply({ name: 'Zed Other' });
    await coordinator.post(`${PAGE}/approve`, { pledge: '1', although: 'yes', reason: 'Knows them' });
    expect(leaderRow()?.agreementDueAt).toBe(NOON + GRACE_MS);
  });
});

describe('an application that is ready', () => {
  it('is told to the coordinators once, by whatever step came last', async () => {
    await stage.apply();
    learnAll();
    tellReady();
    expect(to('application')).toHaveLength(1);
    await stage.sign('walker', 'Wendel Ames');
    tellReady();
    tellReady();
    expect(to('application')).toEqual([
      'application coordinator@waymeet.example: Wendel Ames would like to lead walks',
      'application coordinator@waymeet.example: Ready to approve: Wendel Ames',
    ]);
    expect(stage.application(1).readyAt).toBe(NOON);
    // Also when the mail that told of it is long forgotten.
    stage.site.db.raw.exec('DELETE FROM notices');
    tellReady();
    expect(stage.owed()).toEqual([]);
  });

  it('is told however many wait before it, by as many queries as where one does', async () => {
    const { db, services } = stage.site;
    await takeAll();
    const one = queries();
    db.write((tx) => {
      for (let index = 0; index < 100; index += 1) {
        const email = `early${index}@walkers.example`;
        const { id } = tx.insert(people).values({ name: 'Early', email, createdAt: NOON }).returning({ id: people.id }).get();
        const form = { name: 'Early', phone: '+12025550147', areaId: 1, why: 'Gladly.', days: [6], longestMetres: 9000, otherAreas: [] };
        keepApplication(tx, id, form, NOON);
      }
      tx.update(applications).set({ id: 900 }).where(eq(applications.id, 1)).run();
    });
    expect(newlyReady(db.q, oweContext(services)).map(({ application }) => application.id)).toEqual([900]);
    expect([one > 0, queries()]).toEqual([true, one]);
    expect((await coordinator.get('/coordinate/applications')).text.match(/waiting since/g)).toHaveLength(101);
  });

  it('is found by the run of each minute where the last step knows nothing of applications', async () => {
    await stage.apply();
    await stage.sign('walker', 'Wendel Ames');
    expect(to('application')).toHaveLength(1);
    learnAll();
    tellReady();
    expect(to('application')).toHaveLength(2);
  });

  it('stands on top of the list, and the board and the leaders page say how many wait', async () => {
    await stage.apply();
    const other = stage.cast.browser('other walker');
    await other.post('/lead/join/apply', {
      name: 'Olive Reed',
      phone: '(202) 555-0148',
      area: 'east-fork',
      why: 'Gladly.',
      days: '1',
      longest: '5',
    });
    const list = async () => (await coordinator.get('/coordinate/applications')).text;
    expect((await list()).indexOf('Wendel Ames')).toBeLessThan((await list()).indexOf('Olive Reed'));
    await other.post('/lead/join/agreement', { signature: 'Olive Reed', agree: 'yes', version: '1' });
    learnAll();
    learnAll('other walker');
    expect((await list()).indexOf('Olive Reed')).toBeLessThan((await list()).indexOf('Wendel Ames'));
    expect((await list()).match(/ready to approve/g)).toHaveLength(1);
    for (const page of ['/coordinate', '/coordinate/leaders'])
      expect((await coordinator.get(page)).text).toContain('2 applications waiting');
  });

  it('becomes a leader from next month on, with what they applied with, due twelve months after they signed', async () => {
    await takeAll();
    stage.site.clock.now += 3 * DAY;
    const answer = await coordinator.post(`${PAGE}/approve`, { pledge: '2' });
    expect([answer.status, answer.headers.location]).toEqual([303, PAGE]);
    expect(leaderRow()).toMatchObject({
      ...{ state: 'approved', areaId: 1, sinceMonth: '2026-12', days: [6, 7], longestMetres: 20_117, offersFirst: false },
      agreementDueAt: monthsLater(NOON, 12),
    });
    const { q } = stage.site.db;
    expect(q.select().from(leaderAreas).all()).toEqual([{ personId: stage.cast.ids.walker, areaId: 2 }]);
    expect(q.select().from(pledges).where(eq(pledges.personId, stage.cast.ids.walker)).all()).toMatchObject([
      { fromMonth: '2026-12', walks: 2 },
    ]);
    expect(q.select().from(sessions).where(eq(sessions.personId, stage.cast.ids.walker)).all()).toEqual([]);
    expect(to('application-news')).toEqual(['application-news walker@waymeet.example: You lead walks now']);
    expect(stage.application(1)).toMatchObject({ state: 'approved', decidedBy: stage.cast.ids.coordinator });
    expect((await stage.cast.browser('walker').get('/lead')).status).toBe(200);
  });

  it('is decided once, whoever comes second', async () => {
    await takeAll();
    await coordinator.post(`${PAGE}/approve`, { pledge: '1' });
    for (const [path, fields] of [
      ['approve', { pledge: '5' }],
      ['approve', { pledge: 'x' }],
      ['decline', { words: 'No.' }],
      ['ask', { question: 'Why?' }],
    ] as const)
      expect((await coordinator.post(`${PAGE}/${path}`, fields)).status).toBe(303);
    expect(stage.application(1)).toMatchObject({ state: 'approved', question: '', words: '' });
    expect(to('application-news')).toHaveLength(1);
  });
});

describe('approving although a step is missing', () => {
  beforeEach(async () => {
    await stage.apply();
    readAll();
  });

  it('asks for a tick and a reason, and keeps the reason in the log', async () => {
    const plain = await coordinator.post(`${PAGE}/approve`, { pledge: '1' });
    expect(plain.status).toBe(422);
    expect(plain.text).toContain('Still missing: the quiz and the agreement. Tick here and say why, or wait.');
    const untold = await coordinator.post(`${PAGE}/approve`, { pledge: '1', although: 'yes', reason: ' - ' });
    expect(untold.status).toBe(422);
    expect(untold.text).toContain('id="reason-error"');
    expect(leaderRow()).toBeUndefined();
    expect((await coordinator.post(`${PAGE}/approve`, { pledge: '1', although: 'yes', reason: 'Has led elsewhere.' })).status).toBe(303);
    const log = stage.site.db.q.select().from(auditLog).where(eq(auditLog.action, 'approved a leader although steps were missing')).all();
    expect(log).toMatchObject([
      {
        personId: stage.cast.ids.coordinator,
        subject: `person:${stage.cast.ids.walker}`,
        detail: { missing: ['quiz', 'agreement'], reason: 'Has led elsewhere.' },
      },
    ]);
    expect(leaderRow()?.agreementDueAt).toBe(NOON + GRACE_MS);
  });

  it('a reason without its tick is no yes', async () => {
    expect((await coordinator.post(`${PAGE}/approve`, { pledge: '1', reason: 'Has led elsewhere.' })).status).toBe(422);
    expect(leaderRow()).toBeUndefined();
  });
});

describe('the page of an application', () => {
  const headings = (text: string) => [...text.matchAll(/<(?:h2|summary)>([^<]*)/g)].map((one) => one[1]);

  it('begins with asking while steps are missing, with approving once they are done', async () => {
    await stage.apply();
    const missing = await coordinator.get(PAGE);
    expect(headings(missing.text)).toEqual([
      'What they say',
      'Ask them something',
      'Approve although the handbook, the quiz and the agreement are missing',
      'Decline',
    ]);
    expect(missing.text).toContain('<details>\n  <summary>Approve although');
    expect(missing.text).toContain('<span class="state to-do">to do</span>');
    expect((await coordinator.post(`${PAGE}/approve`, { pledge: '1' })).text).toContain('<details open>\n  <summary>Approve although');
    await takeAll();
    expect(headings((await coordinator.get(PAGE)).text)).toEqual(['What they say', 'Approve', 'Ask them something', 'Decline']);
  });

  it('leads on to the new leader once they are one', async () => {
    await takeAll();
    await coordinator.post(`${PAGE}/approve`, { pledge: '1' });
    expect((await coordinator.get(PAGE)).text).toContain(`href="/coordinate/leaders/${stage.cast.ids.walker}">Their page as a leader</a>`);
  });

  it('is where the reload of a refused form leads, as it is for the other forms', async () => {
    await stage.apply();
    for (const action of ['approve', 'ask', 'decline']) expect((await coordinator.get(`${PAGE}/${action}`)).headers.location).toBe(PAGE);
    const walker = stage.cast.browser('walker');
    for (const action of ['answer', 'apply/withdraw'])
      expect((await walker.get(`/lead/join/${action}`)).headers.location).toBe('/lead/join');
    expect((await coordinator.get('/coordinate/applications/%2F%2Faway.example/ask')).headers.location).toBe(
      '/coordinate/applications/%2F%2Faway.example',
    );
    expect(stage.application(1).state).toBe('open');
  });
});

describe('asking', () => {
  it('mails the question, shows it to the applicant, and mails the answer to the coordinators, once each', async () => {
    await stage.apply();
    for (const _ of [1, 2]) {
      stage.site.clock.now += 1000;
      await coordinator.post(`${PAGE}/ask`, { question: 'Do you hold\na certificate?' });
    }
    expect(to('application-news')).toEqual(['application-news walker@waymeet.example: A question about your application to lead walks']);
    const walker = stage.cast.browser('walker');
    expect((await walker.get('/lead/join')).text).toContain('Do you hold\na certificate?');
    expect((await walker.post('/lead/join/answer', { answer: ' ' })).status).toBe(422);
    for (const text of ['Yes, since May.', 'No.']) expect((await walker.post('/lead/join/answer', { answer: text })).status).toBe(303);
    expect(stage.application(1)).toMatchObject({ answer: 'Yes, since May.', answeredAt: NOON + 2000 });
    expect(to('application')).toHaveLength(2);
    const page = (await coordinator.get(PAGE)).text;
    expect(page).toContain('Yes, since May.');
  });

  it('again takes the old answer away and waits for a new one', async () => {
    await stage.apply();
    await coordinator.post(`${PAGE}/ask`, { question: 'First?' });
    await stage.cast.browser('walker').post('/lead/join/answer', { answer: 'One.' });
    stage.site.clock.now += 1000;
    await coordinator.post(`${PAGE}/ask`, { question: 'Second?' });
    expect(stage.application(1)).toMatchObject({ question: 'Second?', answer: '', answeredAt: null });
    await stage.cast.browser('walker').post('/lead/join/answer', { answer: 'Two.' });
    expect(to('application')).toHaveLength(3);
  });
});

describe('declining', () => {
  it("mails the coordinator's own words, and the applicant may apply again", async () => {
    await stage.apply();
    expect((await coordinator.post(`${PAGE}/decline`, { words: '' })).status).toBe(422);
    await coordinator.post(`${PAGE}/decline`, { words: 'Please join three walks first.\nThen ask again.' });
    const { db, services, views } = stage.site;
    const notice = db.q.select().from(notices).where(eq(notices.kind, 'application-news')).get();
    if (!notice) throw new Error('no mail');
    const mail = mailMaker(services, views).make(notice);
    expect(mail.text).toContain('Please join three walks first.\nThen ask again.');
    expect(mail.html).toContain('<p>Then ask again.</p>');
    expect((await stage.cast.browser('walker').get('/lead/join')).text).toContain('Please join three walks first.');
    expect(await stage.apply()).toBe(2);
  });
});

it('whom a coordinator brings in without looking at their application waits for no decision any more', async () => {
  await stage.apply();
  const fields = { name: 'Wendel Ames', email: 'walker@waymeet.example', phone: '(202) 555-0147', area: 'east-fork', pledge: '1' };
  expect((await coordinator.post('/coordinate/leaders', fields)).status).toBe(303);
  expect(stage.application(1)).toMatchObject({ state: 'approved', decidedBy: stage.cast.ids.coordinator });
  expect((await coordinator.get('/coordinate/applications')).text).toContain('Nobody waits.');
});
