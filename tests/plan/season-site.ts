import { eq } from 'drizzle-orm';
import { toMetres } from '../../server/calc/measure.js';
import { auditLog } from '../../server/db/schema/index.js';
import type { GroupSettings } from '../../server/settings/rules.js';
import { saveSettings } from '../../server/settings/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';

/** Two days of 22 miles from Saturday 16 January 2027: the tests' clock starts in week 9 of 16, on the Wednesday. */
export const SEASON = {
  eventName: 'Two Rivers Weekend',
  eventDay: '2027-01-16',
  eventDays: 2,
  eventDayMetres: toMetres(22, 'mi'),
} as const;

/** The Monday of week 9: two weekday walks of 5 miles, Saturday 14.5, Sunday 7. */
export const WEEK_9 = '2026-11-23';

/** A site whose season runs, with people to look at it. */
export async function seasonSite(changed: Partial<GroupSettings> = {}) {
  const site = await openSite();
  const cast = layCast(site);
  site.db.write((tx) => saveSettings(tx, { ...SEASON, ...changed }));
  return {
    site,
    cast,
    coordinator: cast.browser('coordinator'),
    nobody: cast.browser('nobody'),
    post: (facts: Partial<WalkFacts>) => saveNewWalk(site.services, walkFacts(facts), cast.ids.leader, 'posted'),
    /** What the log says of a thing, oldest first. */
    log: (subject: string) =>
      site.db.q
        .select({ action: auditLog.action, personId: auditLog.personId })
        .from(auditLog)
        .where(eq(auditLog.subject, subject))
        .orderBy(auditLog.id)
        .all(),
  };
}

/** Text of a page without its tags, blanks made one. */
export function words(html: string): string {
  return html
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ')
    .replace(/ ([.,:;])/g, '$1');
}
