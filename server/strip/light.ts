import type { Window } from '../calc/stops.js';

/** A walk by its slowest: when they come to each stop, and how long they stay. */
export interface SlowestWay {
  setOffAt: number;
  distanceMetres: number;
  halts: { metres: number; minutes: number }[];
  arrivals: Window[];
  finish: Window;
}

/** Where along the way an instant finds the slowest, metres; null before they set off and after they are back. They keep an even pace between stops. */
export function whereSlowestAre(at: number, way: SlowestWay): number | null {
  if (at < way.setOffAt || at > way.finish.slowest) return null;
  let [leftAt, leftMetres] = [way.setOffAt, 0];
  for (const [index, halt] of way.halts.entries()) {
    const arrival = way.arrivals[index]?.slowest ?? leftAt;
    if (at <= arrival) return between(at, leftAt, leftMetres, arrival, halt.metres);
    leftAt = arrival + halt.minutes * 60_000;
    leftMetres = halt.metres;
    if (at <= leftAt) return leftMetres;
  }
  return between(at, leftAt, leftMetres, way.finish.slowest, way.distanceMetres);
}

function between(at: number, leftAt: number, leftMetres: number, arrival: number, metres: number): number {
  const part = arrival > leftAt ? (at - leftAt) / (arrival - leftAt) : 1;
  return leftMetres + (metres - leftMetres) * part;
}
