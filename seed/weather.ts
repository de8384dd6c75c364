import { addDays } from '../server/calc/month.js';
import type { LaidWalk } from './rows.js';
import type { prepare } from './statements.js';

const HOUR_MS = 60 * 60 * 1000;
/** A forecast is typed in from two days before. */
const DAYS_AHEAD = 2;

/** °C, %, m/s of a forenoon, by month from January: a cold and windy winter, a close summer. */
const FORENOONS = [
  [-3, 68, 6.3],
  [-1, 64, 6.7],
  [6, 60, 7.2],
  [13, 55, 5.8],
  [19, 60, 4.0],
  [27, 64, 3.1],
  [31, 66, 2.7],
  [30, 67, 2.7],
  [25, 62, 3.1],
  [14, 60, 4.5],
  [1, 70, 6.7],
  [-2, 72, 6.3],
] as const;

/** The local forecast as the leaders of these walks typed it an hour ago, for those of today and of the next two days. */
export function layForecasts(
  walks: (LaidWalk | undefined)[],
  { today, now, insert }: { today: string; now: number; insert: ReturnType<typeof prepare> },
): void {
  for (const walk of walks) {
    if (!walk || walk.facts.date > addDays(today, DAYS_AHEAD)) continue;
    const [temperatureCelsius, humidity, windMetresPerSecond] = FORENOONS[Number(walk.facts.date.slice(5, 7)) - 1] ?? FORENOONS[0];
    const typed = { temperatureCelsius, humidity, windMetresPerSecond, by: walk.leaderId, at: now - HOUR_MS };
    insert.forecast.run({ walkId: walk.id, date: walk.facts.date, ...typed });
  }
}
