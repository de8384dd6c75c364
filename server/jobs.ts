import { oweReminders } from './notices/owe.js';
import type { Services } from './services.js';
import { rederiveComingWalks } from './walks/rederive.js';

const EVERY_MS = 60_000;
const DAY_MS = 24 * 60 * 60 * 1000;

/** What the clock makes due: the day-before reminders each minute, the coming walks' instants at start and daily. */
export function startJobs(services: Services): { stop: () => void } {
  let rederivedAt = Number.NEGATIVE_INFINITY;
  const run = () => {
    const now = services.now();
    try {
      if (now - rederivedAt >= DAY_MS) {
        rederiveComingWalks(services);
        rederivedAt = now;
      }
      const context = { now, settings: services.settings(), config: services.config };
      const owed = services.db.write((tx) => oweReminders(tx, context));
      if (owed > 0) services.mailOwed();
    } catch (error) {
      // The next minute tries again; meanwhile the log says so.
      services.log.error({ err: error }, 'a timed job failed');
    }
  };
  run();
  const timer = setInterval(run, EVERY_MS);
  return { stop: () => clearInterval(timer) };
}
