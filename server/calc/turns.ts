import { type Corner, corners, placeAt } from './corners.js';
import { eastward, fromNorth, metresPerDegree } from './geodesy.js';
import type { Point } from './route.js';

/** A clear turn of a way. */
export interface Turn {
  /** How far along. */
  metres: number;
  /** Where the way goes on, degrees from north. */
  bearing: number;
  /** How sharply: degrees, right positive; 0 for the set-off. */
  angle: number;
}

/** A satellite fix strays by some metres: what lies within this of the straight is no turn. */
const JITTER_METRES = 10;
/** How much of the way before and after a place says where it goes. */
const SIGHT_METRES = 30;
/** Closer than this to an end, there is too little to judge by. */
const LEAST_SIGHT_METRES = 15;
const CLEAR_DEGREES = 45;
const APART_METRES = 40;
const MOST_TURNS = 200;

/**
 * The clear turns of a way in their order, the set-off first: where the 30 m after a place lead 45° or more away from the 30 m before, the
 * sharpest ones where two lie within 40 m. Gaps between segments are no turns.
 * @param alongs metres along at each point of each segment
 */
export function turns(segments: readonly (readonly Point[])[], alongs: readonly (readonly number[])[]): Turn[] {
  const lines = segments.map((points, index) => corners(points, alongs[index] ?? [], JITTER_METRES)).filter((line) => line.length > 1);
  const [first] = lines;
  if (!first) return [];
  const setOff = { metres: 0, bearing: fromNorth(heading(first, 0, SIGHT_METRES)), angle: 0 };
  return [setOff, ...sharpest(lines.flatMap(clearTurns), setOff)].sort((a, b) => a.metres - b.metres);
}

/** The sharpest of the turns, none too close to one that is sharper or to the set-off. */
function sharpest(found: readonly Turn[], setOff: Turn): Turn[] {
  const taken = [setOff];
  for (const turn of found.toSorted((a, b) => Math.abs(b.angle) - Math.abs(a.angle))) {
    if (taken.length >= MOST_TURNS) break;
    if (taken.every(({ metres }) => Math.abs(metres - turn.metres) >= APART_METRES)) taken.push(turn);
  }
  return taken.slice(1);
}

function clearTurns(line: readonly Corner[]): Turn[] {
  const end = line.at(-1)?.run ?? 0;
  return line.flatMap(({ run, metres }) => {
    if (run < LEAST_SIGHT_METRES || end - run < LEAST_SIGHT_METRES) return [];
    const before = heading(line, Math.max(0, run - SIGHT_METRES), run);
    const after = heading(line, run, Math.min(end, run + SIGHT_METRES));
    const angle = eastward(before, after);
    return Math.abs(angle) < CLEAR_DEGREES ? [] : [{ metres, bearing: fromNorth(after), angle }];
  });
}

/** Degrees from north of the straight between two places of a line. */
function heading(line: readonly Corner[], from: number, to: number): number {
  const [start, goal] = [placeAt(line, from), placeAt(line, to)];
  const metres = metresPerDegree(start.lat);
  return (Math.atan2(eastward(start.lon, goal.lon) * metres.lon, (goal.lat - start.lat) * metres.lat) * 180) / Math.PI;
}
