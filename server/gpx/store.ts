import { createHash } from 'node:crypto';
import { and, eq, exists, getTableColumns, isNotNull, lt, notExists, or, type SQL, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { routes, walkLeaders, walks } from '../db/schema/index.js';
import type { MeasuredRoute } from './measured.js';

const KEPT_UNUSED_MS = 7 * 24 * 60 * 60 * 1000;

/** A route without its file, which few need. */
export type StoredRoute = Omit<typeof routes.$inferSelect, 'gpx' | 'sha256'>;

const { gpx: _gpx, sha256: _sha256, ...shownColumns } = getTableColumns(routes);

/** Keeps a route and gives its number: the one it has already where the same person brought the same way before, and then as if it came now. */
export function addRoute(tx: Tx, route: MeasuredRoute, { by, now }: { by: number; now: number }): number {
  const gpx = Buffer.from(route.gpx);
  const sha256 = createHash('sha256').update(gpx).digest('hex');
  return tx
    .insert(routes)
    .values({ ...route, gpx, sha256, byPersonId: by, createdAt: now })
    .onConflictDoUpdate({ target: [routes.byPersonId, routes.sha256], set: { createdAt: now } })
    .returning({ id: routes.id })
    .get().id;
}

const oneRoute = prepared((q) =>
  q
    .select(shownColumns)
    .from(routes)
    .where(eq(routes.id, sql.placeholder('id')))
    .prepare(),
);

export function routeById(q: Tx, id: number): StoredRoute | undefined {
  return Number.isSafeInteger(id) ? oneRoute(q).get({ id }) : undefined;
}

/** The whole way as clean GPX 1.1, gzipped. */
export function gpxOf(q: Tx, id: number): Buffer | undefined {
  return q.select({ gpx: routes.gpx }).from(routes).where(eq(routes.id, id)).get()?.gpx;
}

/** Whether a person may put a route on a walk: they brought it, everyone may see it, or it is on a walk they lead. */
export function mayUse(q: Tx, routeId: number, personId: number): boolean {
  const ledBy = q
    .select({ one: sql`1` })
    .from(walkLeaders)
    .where(and(eq(walkLeaders.walkId, walks.id), eq(walkLeaders.personId, personId)));
  const may = or(eq(routes.byPersonId, personId), exists(walksWith(q, or(isNotNull(walks.postedAt), exists(ledBy)))));
  const found = q
    .select({ id: routes.id })
    .from(routes)
    .where(and(eq(routes.id, routeId), may))
    .get();
  return found !== undefined;
}

/** Removes the routes that no walk has, a week after they were brought. Gives how many. */
export function forgetUnused(tx: Tx, now: number): number {
  return tx
    .delete(routes)
    .where(and(lt(routes.createdAt, now - KEPT_UNUSED_MS), notExists(walksWith(tx))))
    .run().changes;
}

function walksWith(q: Tx, which?: SQL) {
  return q
    .select({ one: sql`1` })
    .from(walks)
    .where(and(eq(walks.routeId, routes.id), which));
}
