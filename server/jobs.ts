import { oweMonthlyMails, undecided } from './commitment/monthly-store.js';
import { notClosedDue, oweNotClosed } from './day/not-closed-store.js';
import { forgetUnused } from './gpx/store.js';
import { newlyReady, oweReady } from './joining/ready.js';
import { agreementsDue, oweRenewals } from './joining/renewals.js';
import { oweReminders } from './notices/owe.js';
import { forgetOnTime } from './privacy/retention.js';
import type { Services } from './services.js';
import { closeBegunOffers, hasBegunOffers } from './together/store.js';
import { rederiveComingWalks } from './walks/rederive.js';
import { oweContext } from './walks/save.js';

const EVERY_MS = 60_000;
const DAY_MS = 24 * 60 * 60 * 1000;

/** What the clock makes due: the day-before reminders, the monthly mails to leaders and what is to be said of leading each minute, the coming walks' instants, the routes nobody uses and what is to be forgotten at start and daily. */
export function startJobs(services: Services): { stop: () => void } {
  const minutely = minutelyJobs(services);
  minutely();
  const timer = setInterval(minutely, EVERY_MS);
  return { stop: () => clearInterval(timer) };
}

/** The run of each minute. A job that fails is logged, and keeps no other from its turn. */
export function minutelyJobs(services: Services): () => void {
  let rederivedAt = Number.NEGATIVE_INFINITY;
  const attempt = (job: string, run: () => void) => {
    try {
      run();
    } catch (error) {
      services.log.error({ err: error, job }, 'a timed job failed');
    }
  };
  return () => {
    const now = services.now();
    if (now - rederivedAt >= DAY_MS) {
      // Before the run: one that fails waits for the next day, too.
      rederivedAt = now;
      attempt('instants of coming walks', () => rederiveComingWalks(services));
      attempt('routes nobody uses', () => services.db.write((tx) => forgetUnused(tx, now)));
      // It catches what fails in it, step by step.
      void forgetOnTime(services);
    }
    attempt('reminders', () => remind(services, now));
    attempt('offers for walks that have begun', () => {
      if (hasBegunOffers(services.db.q, now)) services.db.write((tx) => closeBegunOffers(tx, now));
    });
    attempt('monthly mails to leaders', () => mailLeaders(services, now));
    attempt('leading', () => tellOfLeading(services));
    attempt('walks that nobody closed', () => tellOfOpenWalks(services));
  };
}

function remind(services: Services, now: number): void {
  const { db, config, log } = services;
  const onFault = (error: unknown, walk: number) => log.error({ err: error, walk }, 'the reminders of a walk could not be made');
  const owed = db.write((tx) => oweReminders(tx, { now, settings: services.settings(), config }, onFault));
  if (owed > 0) services.mailOwed();
}

/** Looks before it writes: on most days there is nobody to decide about, and a write drops kept pages. */
function mailLeaders(services: Services, now: number): void {
  const { db, config, sealer } = services;
  const context = { now, settings: services.settings(), config };
  if (undecided(db.q, context).length === 0) return;
  if (db.write((tx) => oweMonthlyMails(tx, context, sealer)) > 0) services.mailOwed();
}

/** Agreements that are due, and applications that have become ready. Looks before it writes, as above. */
function tellOfLeading(services: Services): void {
  const { db } = services;
  const context = oweContext(services);
  if (agreementsDue(db.q, context.now).length === 0 && newlyReady(db.q, context).length === 0) return;
  if (db.write((tx) => oweRenewals(tx, context) + oweReady(tx, context)) > 0) services.mailOwed();
}

/** Looks before it writes, as above. */
function tellOfOpenWalks(services: Services): void {
  const { db, now } = services;
  if (notClosedDue(db.q, now()).length === 0) return;
  if (db.write((tx) => oweNotClosed(tx, oweContext(services))) > 0) services.mailOwed();
}
