import { inArray } from 'drizzle-orm';
import { series, walks } from '../../server/db/schema/index.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { saveNewWalk } from '../../server/walks/save.js';
import type { TestSite } from './app.js';
import { walkFacts } from './cast.js';

/** Posted walks of one series, one a date, in the order given; gives their numbers. */
export function laySeries(site: TestSite, leaderId: number, dates: string[], changed: Partial<WalkFacts> = {}): number[] {
  const ids = dates.map((date) => saveNewWalk(site.services, walkFacts({ ...changed, date }), leaderId, 'posted'));
  joinSeries(site, leaderId, ids);
  return ids;
}

/** Makes walks a series of their own. */
export function joinSeries(site: TestSite, byPersonId: number, ids: number[]): void {
  site.db.write((tx) => {
    const { id } = tx.insert(series).values({ byPersonId, createdAt: site.clock.now }).returning({ id: series.id }).get();
    tx.update(walks).set({ seriesId: id }).where(inArray(walks.id, ids)).run();
  });
}
