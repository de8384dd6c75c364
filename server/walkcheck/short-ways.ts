import { distance, eastward } from '../calc/geodesy.js';
import type { LineVertex } from '../gpx/measured.js';
import type { Stop } from '../walks/stops.js';
import type { Checked, CheckedRoute, Found } from './items.js';
import { listed } from './words.js';

/** Lengths are typed to a tenth of a mile: less than this is rounding. */
const ROUNDING_METRES = 161;

type ShortStop = Stop & { short: NonNullable<Stop['short']> };

/** Short ways shorter than a crow could make them: to where they leave, straight across, and the rest. */
export function shortTooShort({ facts, around, words }: Checked): Found[] {
  const { route } = around;
  if (!route) return [];
  const wrong = shortStops(facts.stops)
    .map((stop) => ({ stop, least: leastLength(stop, route, facts.distanceMetres) }))
    .filter(({ stop, least }) => stop.short.length < least - ROUNDING_METRES);
  if (wrong.length === 0) return [];
  const named = wrong.map(
    ({ stop, least }) =>
      `${words.length(stop.short.length)} by the way at ${words.place(stop.metres)}, where the straight line makes ${words.length(least)}`,
  );
  return [
    {
      key: 'shortways',
      kind: 'mend',
      title: `A short way cannot be so short: ${listed(named)}`,
      why: 'People choose the short way by its length, and would walk further than they can.',
      mends: 'Type how long the whole walk is for those who take it.',
      href: 'stops',
    },
  ];
}

/** Short ways that save nothing. */
export function shortTooLong({ facts, words }: Checked): Found[] {
  const wrong = shortStops(facts.stops).filter((stop) => stop.short.length >= facts.distanceMetres);
  if (wrong.length === 0) return [];
  const named = wrong.map((stop) => `${words.length(stop.short.length)} by the way at ${words.place(stop.metres)}`);
  return [
    {
      key: 'longways',
      kind: 'think',
      title: `A short way saves nothing: ${listed(named)}, and the walk is ${words.length(facts.distanceMetres)}`,
      why: 'People who are tired would take it for nothing.',
      mends: 'Check its length: it is that of the whole walk for those who take it.',
      href: 'stops',
    },
  ];
}

function shortStops(stops: Stop[]): ShortStop[] {
  return stops.filter((stop): stop is ShortStop => stop.short !== null);
}

/** The least that a whole walk by this short way can be. The route is stretched to the length the leader typed. */
function leastLength(stop: ShortStop, route: CheckedRoute, distanceMetres: number): number {
  if (distanceMetres <= 0) return 0;
  const stretch = route.lengthMetres / distanceMetres;
  const leaves = pointAt(route.line, stop.metres * stretch);
  const rejoins = pointAt(route.line, stop.short.rejoins * stretch);
  if (!leaves || !rejoins) return 0;
  return stop.metres + distance(leaves.lat, leaves.lon, rejoins.lat, rejoins.lon) + Math.max(0, distanceMetres - stop.short.rejoins);
}

/** Where the way is so many metres along; its nearest end outside it, null where it has no points. */
export function pointAt(line: LineVertex[][], metres: number): { lat: number; lon: number } | null {
  let before: LineVertex | null = null;
  for (const segment of line) {
    for (const [index, vertex] of segment.entries()) {
      if (vertex[2] >= metres) return before && index > 0 ? between(before, vertex, metres) : { lat: vertex[0], lon: vertex[1] };
      before = vertex;
    }
  }
  return before && { lat: before[0], lon: before[1] };
}

function between(from: LineVertex, to: LineVertex, metres: number): { lat: number; lon: number } {
  const part = to[2] === from[2] ? 0 : (metres - from[2]) / (to[2] - from[2]);
  // The short way round, where a piece crosses the date line.
  return { lat: from[0] + part * (to[0] - from[0]), lon: from[1] + part * eastward(from[1], to[1]) };
}
