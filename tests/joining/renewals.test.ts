import { eq } from 'drizzle-orm';
import { beforeEach, expect, it } from 'vitest';
import { leaders, notices } from '../../server/db/schema/index.js';
import { minutelyJobs } from '../../server/jobs.js';
import { MAILED_BEFORE_MS, MAILED_UNTIL_MS, monthsLater } from '../../server/joining/renewal.js';
import { oweRenewals } from '../../server/joining/renewals.js';
import { standDown } from '../../server/leaders/store.js';
import { tryAgain } from '../../server/notices/again.js';
import { oweContext } from '../../server/walks/save.js';
import { NOON } from '../support/app.js';
import { DAY, type Joining, openJoining } from './stage.js';

const HOUR = 60 * 60_000;
const FAR = NOON + 5000 * DAY;
const MAIL = 'agreement-due leader@waymeet.example: Please sign the leader’s agreement'.replace('’', "'");

let stage: Joining;
beforeEach(async () => {
  stage = await openJoining();
  // All but the leader are out of it.
  stage.site.db.write((tx) => tx.update(leaders).set({ agreementDueAt: FAR }).run());
});

function dueAt(at: number): void {
  stage.site.db.write((tx) => tx.update(leaders).set({ agreementDueAt: at }).where(eq(leaders.personId, stage.cast.ids.leader)).run());
}

/** Gives how many mails it owed. */
function runAt(now: number): number {
  stage.site.clock.now = now;
  return stage.site.db.write((tx) => oweRenewals(tx, oweContext(stage.site.services)));
}

const mails = () => stage.owed().filter((line) => line.startsWith('agreement-due'));

/** As if the outbox had delivered whatever waits. */
function deliver(): void {
  stage.site.db.write((tx) => tx.update(notices).set({ state: 'sent' }).where(eq(notices.state, 'pending')).run());
}

it('one mail goes 30 days before the agreement is due, and one at that instant', () => {
  const due = NOON + 100 * DAY;
  dueAt(due);
  runAt(due - MAILED_BEFORE_MS - 1);
  expect(mails()).toEqual([]);
  runAt(due - MAILED_BEFORE_MS);
  expect(mails()).toEqual([`${MAIL} by Fri, Mar 5, 2027`]);
  deliver();
  expect(runAt(due - 1)).toBe(0);
  expect(mails()).toHaveLength(1);
  runAt(due);
  expect(mails().slice(1)).toEqual([`${MAIL}: posting is closed until then`]);
  expect(runAt(due + 1)).toBe(0);
});

it('what was to be said beforehand and never went gives way to what is said on the day', () => {
  dueAt(NOON + 10 * DAY);
  runAt(NOON);
  runAt(NOON + 10 * DAY);
  expect(mails()).toEqual([`${MAIL}: posting is closed until then`]);
});

it('of an agreement that has been due for a month nothing is said any more', () => {
  dueAt(NOON);
  runAt(NOON + MAILED_UNTIL_MS);
  expect(mails()).toEqual([]);
  runAt(NOON + MAILED_UNTIL_MS - 1);
  expect(mails()).toHaveLength(1);
});

it('signing while a mail waits takes it back, and whoever stops leading gets none', async () => {
  dueAt(NOON + 10 * DAY);
  runAt(NOON);
  await stage.sign('leader', 'Lena Marsh');
  runAt(NOON + DAY);
  expect(mails()).toEqual([]);
  dueAt(NOON + 20 * DAY);
  runAt(NOON + 2 * DAY);
  expect(mails()).toHaveLength(1);
  stage.site.db.write((tx) => standDown(tx, stage.cast.ids.leader, stage.cast.ids.coordinator, NOON));
  runAt(NOON + 3 * DAY);
  expect(mails()).toEqual([]);
});

it('over a year and a half with restarts, naps of the machine and a signature late by a day, each mail goes once', async () => {
  const { site } = stage;
  await stage.sign('leader', 'Lena Marsh');
  const first = monthsLater(NOON, 12);
  const events = () => site.db.raw.prepare("SELECT event FROM notices WHERE kind = 'agreement-due' ORDER BY id").pluck().all() as string[];
  let minutely = minutelyJobs(site.services);
  let hours = 0;
  let signed = false;
  for (let now = NOON; now < NOON + 560 * DAY; now += hours * HOUR) {
    site.clock.now = now;
    minutely();
    if (events().length > 0) deliver();
    // A process that was started anew knows nothing of the last; now and then the machine slept for up to three days.
    hours = ((hours * 7) % 71) + 6;
    if (hours % 2 === 0) minutely = minutelyJobs(site.services);
    if (!signed && now >= first + DAY) signed = (await stage.sign('leader', 'Lena Marsh')) === 303;
  }
  const id = stage.cast.ids.leader;
  expect(events().filter((event) => event.startsWith(`agreement-due:${id}:`))).toEqual([
    `agreement-due:${id}:${first}:before`,
    `agreement-due:${id}:${first}:now`,
  ]);
  expect(stage.dueAt('leader')).toBeGreaterThan(NOON + 720 * DAY);
});

it('one that failed is tried again only while the agreement is due at that instant', () => {
  const due = NOON + 20 * DAY;
  dueAt(due);
  runAt(NOON);
  const { db, services, clock } = stage.site;
  const [mail] = db.q.select().from(notices).where(eq(notices.kind, 'agreement-due')).all();
  const again = () =>
    db.write((tx) => {
      tx.update(notices).set({ state: 'failed', endedAt: clock.now }).run();
      return tryAgain(tx, oweContext(services), mail?.id ?? 0);
    });
  clock.now = due - 1;
  expect(again()).toBe(true);
  // "By Fri" is not so any more once that has come.
  clock.now = due;
  expect(again()).toBe(false);
  clock.now = NOON;
  dueAt(monthsLater(due, 12));
  expect(again()).toBe(false);
});

it('says why: each leader signs, and where they never have, that this is new', () => {
  dueAt(NOON + 20 * DAY);
  runAt(NOON);
  const [mail] = stage.site.db.q.select().from(notices).where(eq(notices.kind, 'agreement-due')).all();
  expect(JSON.stringify(mail?.content)).toContain('This is new: each leader signs the agreement once a year.');
});
