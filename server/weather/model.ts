import type { Tx } from '../db/open.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkRow } from '../walks/ledby.js';
import { type When, when } from '../web/when.js';
import { type Advice, type Forecast, weatherAdvice } from './rules.js';
import { forecastOf } from './store.js';

const HOUR_MS = 60 * 60 * 1000;
/** A forecast older than this is no news: no reminder carries it. */
export const FRESH_MS = 48 * HOUR_MS;

/** A forecast as it was typed at `at` (ms). */
export type TypedForecast = Forecast & { at: number };

/** What pages and mails show of a walk's weather. */
export interface WeatherModel extends Advice {
  /** When the forecast was typed in. */
  typed: When;
}

/** A forecast and what it means, in words. */
export function weatherWords(forecast: TypedForecast, zone: string, settings: GroupSettings, emergencyNumber: string): WeatherModel {
  return { ...weatherAdvice(forecast, settings, emergencyNumber), typed: when(forecast.at, zone, settings) };
}

/** The weather of a posted walk; null where nobody has typed in a forecast for its date. */
export function weatherModel(q: Tx, walk: WalkRow, settings: GroupSettings, emergencyNumber: string): WeatherModel | null {
  const forecast = walk.state === 'posted' ? forecastOf(q, walk.id, walk.wallDate) : undefined;
  return forecast ? weatherWords(forecast, walk.zone, settings, emergencyNumber) : null;
}

/** The forecast that a reminder written at `now` (ms) carries: one for the walk's date (YYYY-MM-DD), typed in not long ago. */
export function freshForecast(q: Tx, walkId: number, wallDate: string, now: number): TypedForecast | undefined {
  const row = forecastOf(q, walkId, wallDate);
  if (!row || now - row.at > FRESH_MS) return undefined;
  const { temperatureCelsius, humidity, windMetresPerSecond, at } = row;
  return { temperatureCelsius, humidity, windMetresPerSecond, at };
}
