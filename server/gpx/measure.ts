import { gzipSync } from 'node:zlib';
import { profileOf } from '../calc/profile.js';
import { alongs as alongsOf, CLIMB_THRESHOLD_METRES, climb } from '../calc/route.js';
import { shapeOf } from '../calc/shape.js';
import { turns } from '../calc/turns.js';
import type { GpxRead } from './gather.js';
import type { MeasuredRoute } from './measured.js';
import { reducedLine } from './reduce.js';
import { type PlacedWaypoint, placedWaypoints } from './waypoints.js';
import { writeGpx } from './write.js';

/** All that Waymeet keeps of a way. Takes up to a second or so of the processor for a large file: for a process of its own, not for the event loop. */
export function measure({ segments, waypoints, name }: GpxRead): MeasuredRoute {
  const alongs = alongsOf(segments);
  const points = segments.flat();
  const lengthMetres = alongs.at(-1)?.at(-1) ?? 0;
  const placed = placedWaypoints(waypoints, segments, alongs);
  const { line, errorMetres } = reducedLine(segments, alongs);
  return {
    lengthMetres,
    ...heights(
      alongs.flat(),
      points.map((point) => point.ele),
      lengthMetres,
    ),
    shape: shapeOf(segments, alongs),
    pointCount: points.length,
    line,
    lineErrorMetres: errorMetres,
    turns: turns(segments, alongs),
    waypoints: placed.map(withoutPlace),
    gpx: gzipSync(writeGpx({ segments, waypoints: placed, name })),
  };
}

/** Climb is told only where the heights make a profile: from a few it would be too low. */
function heights(alongs: number[], elevations: (number | null)[], lengthMetres: number) {
  const profile = profileOf(alongs, elevations, lengthMetres);
  if (!profile) return { profile, ascentMetres: null, descentMetres: null };
  const known = elevations.filter((elevation) => elevation !== null);
  const { ascent, descent } = climb(known, CLIMB_THRESHOLD_METRES);
  return { profile, ascentMetres: ascent, descentMetres: descent };
}

function withoutPlace({ lat: _lat, lon: _lon, ...waypoint }: PlacedWaypoint) {
  return waypoint;
}
