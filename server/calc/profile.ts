import { heightMeans } from './heights.js';
import { toblerSpeed } from './pace.js';

/** Heights along a way at even steps: at 0, stepMetres, 2 × stepMetres …, the last at the end. Metres, to a tenth. */
export interface Profile {
  stepMetres: number;
  elevations: number[];
}

const STEP_METRES = 100;
const MOST_STEPS = 600;
/** Below this part of points with a height, what lies between them is a guess. */
const KNOWN_PART = 0.5;

/** Langmuir's bounds: slopes down from 5° on are quicker than the flat, over 12° slower. */
const MODERATE_SLOPE = Math.tan((5 * Math.PI) / 180);
const STEEP_SLOPE = Math.tan((12 * Math.PI) / 180);

/**
 * The heights of a way in steps of some 100 m, at most 600 of them; each is the mean of the way around it. Missing heights are laid
 * between those known. Null where under half of the points have one.
 * @param alongs metres along the way at each point, ascending
 */
export function profileOf(alongs: readonly number[], elevations: readonly (number | null)[], lengthMetres: number): Profile | null {
  const known = alongs.flatMap((metres, index) => {
    const height = elevations[index] ?? null;
    return height === null ? [] : [{ metres, height }];
  });
  if (lengthMetres <= 0 || known.length < 2 || known.length < alongs.length * KNOWN_PART) return null;
  const steps = Math.min(MOST_STEPS, Math.max(1, Math.round(lengthMetres / STEP_METRES)));
  const stepMetres = lengthMetres / steps;
  return { stepMetres, elevations: heightMeans(known, steps, stepMetres).map((height) => Math.round(height * 10) / 10) };
}

/** Over a hundred metres no path is steeper (35°): what is, is a fault of the heights, and would take Tobler's function days. Common practice, no source. */
const STEEPEST = 0.7;

/**
 * The flat metres that take as long as the first `metres` of a way: each piece times how much slower than on the flat its slope is
 * walked. What lies beyond the profile's end counts as flat. Source: W. Tobler, NCGIA Technical Report 93-1 (1993).
 */
export function effortAt(profile: Profile, metres: number): number {
  let effort = Math.max(0, metres);
  for (const { from, rise } of pieces(profile)) {
    const walked = Math.min(profile.stepMetres, metres - from);
    if (walked <= 0) break;
    const slope = Math.min(STEEPEST, Math.max(-STEEPEST, rise / profile.stepMetres));
    effort += walked * (toblerSpeed(0) / toblerSpeed(slope) - 1);
  }
  return effort;
}

/** Metres of descent on slopes of 5° to 12°, and on steeper ones. Source of the bounds: E. Langmuir, Mountaincraft and Leadership (1984). */
export function descents(profile: Profile): { moderate: number; steep: number } {
  const down = { moderate: 0, steep: 0 };
  for (const { rise } of pieces(profile)) {
    const slope = -rise / profile.stepMetres;
    if (slope > STEEP_SLOPE) down.steep -= rise;
    else if (slope >= MODERATE_SLOPE) down.moderate -= rise;
  }
  return down;
}

/** The steps of a profile: where each starts, and how much it rises. */
function pieces({ stepMetres, elevations }: Profile): { from: number; rise: number }[] {
  return elevations.slice(1).map((height, index) => ({ from: index * stepMetres, rise: height - (elevations[index] ?? height) }));
}
