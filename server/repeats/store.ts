import { asc, eq } from 'drizzle-orm';
import type { Tx } from '../db/open.js';
import { series, walks } from '../db/schema/index.js';
import type { WalkRow } from '../walks/ledby.js';

/** A walk of a series, as lists show it. */
export type SeriesWalk = Pick<WalkRow, 'id' | 'state' | 'wallDate' | 'gatherAt' | 'zone' | 'postedAt' | 'routeName'>;

/** Every walk of a series, soonest first. */
export function seriesWalks(q: Tx, seriesId: number): SeriesWalk[] {
  return q
    .select({
      id: walks.id,
      state: walks.state,
      wallDate: walks.wallDate,
      gatherAt: walks.gatherAt,
      zone: walks.zone,
      postedAt: walks.postedAt,
      routeName: walks.routeName,
    })
    .from(walks)
    .where(eq(walks.seriesId, seriesId))
    .orderBy(asc(walks.gatherAt), asc(walks.id))
    .all();
}

/** The series a walk is in; it becomes the first of a new one where it is in none. */
export function seriesFor(tx: Tx, walk: Pick<WalkRow, 'id' | 'seriesId'>, by: number, now: number): number {
  if (walk.seriesId !== null) return walk.seriesId;
  const { id } = tx.insert(series).values({ byPersonId: by, createdAt: now }).returning({ id: series.id }).get();
  tx.update(walks).set({ seriesId: id }).where(eq(walks.id, walk.id)).run();
  return id;
}
