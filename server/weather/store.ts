import { and, eq, sql } from 'drizzle-orm';
import { prepared, type Tx } from '../db/open.js';
import { forecasts } from '../db/schema/index.js';
import type { WalkRow } from '../walks/ledby.js';
import type { Forecast } from './rules.js';

export type ForecastRow = typeof forecasts.$inferSelect;

const oneForecast = prepared((q) =>
  q
    .select()
    .from(forecasts)
    .where(and(eq(forecasts.walkId, sql.placeholder('walkId')), eq(forecasts.wallDate, sql.placeholder('wallDate'))))
    .prepare(),
);

/** The forecast for a walk on a date (YYYY-MM-DD); one for another date is none: the walk moved. */
export function forecastOf(q: Tx, walkId: number, wallDate: string): ForecastRow | undefined {
  return oneForecast(q).get({ walkId, wallDate });
}

/** Keeps a forecast for the date the walk has, in place of any before it. */
export function saveForecast(tx: Tx, walk: Pick<WalkRow, 'id' | 'wallDate'>, forecast: Forecast, made: { by: number; now: number }): void {
  const values = { ...forecast, wallDate: walk.wallDate, byPersonId: made.by, at: made.now };
  tx.insert(forecasts)
    .values({ walkId: walk.id, ...values })
    .onConflictDoUpdate({ target: forecasts.walkId, set: values })
    .run();
}

/** Takes a forecast back: one that was mistyped is worse than none. */
export function forgetForecast(tx: Tx, walkId: number): void {
  tx.delete(forecasts).where(eq(forecasts.walkId, walkId)).run();
}
