import { METRES_PER_MILE, type Units } from './measure.js';

/**
 * Lengths of a plan are counted in steps, whole numbers of a quarter mile or of half a kilometre, so that a bound of 10 % is met exactly and not
 * to within a rounding. Half miles and whole kilometres are what is shown; below five miles (ten kilometres) one of those would already be more
 * than 10 %, so there the finer step is allowed, too.
 */
const STEP_METRES: Record<Units, number> = { mi: METRES_PER_MILE / 4, km: 500 };
/** From twenty steps on, two steps (half a mile, a kilometre) are 10 % at most. */
const FINE_BELOW_STEPS = 20;
const COARSE_STEPS = 2;

/** Whether a length may lie on the finer steps where it is short. */
export type Fineness = 'coarse' | 'fine';

export function stepsOf(metres: number, units: Units): number {
  return metres / STEP_METRES[units];
}

/** Metres of so many steps, unrounded: as whole metres, 5 and then 5.5 miles would be more than 10 % apart. */
export function metresOf(steps: number, units: Units): number {
  return steps * STEP_METRES[units];
}

/** The nearest length on the grid; one step of it at least. */
export function nearest(steps: number, fineness: Fineness): number {
  const step = fineness === 'fine' && steps < FINE_BELOW_STEPS ? 1 : COARSE_STEPS;
  return Math.max(step, Math.round(steps / step) * step);
}

/** The lengths on the grid about so many steps: the nearest round one, the nearest, the next shorter, the next longer; 0 of nothing. */
export function roundings(steps: number): number[] {
  if (steps === 0) return [0];
  const step = steps < FINE_BELOW_STEPS ? 1 : COARSE_STEPS;
  const shorter = Math.max(step, Math.floor(steps / step) * step);
  return [nearest(steps, 'coarse'), nearest(steps, 'fine'), shorter, shorter + step];
}

/** The shortest length on the grid of which a walk of so many steps is no more than 110 %. */
export function shortestBefore(steps: number): number {
  const fine = Math.ceil((10 * steps) / 11);
  return fine < FINE_BELOW_STEPS ? fine : COARSE_STEPS * Math.ceil((10 * steps) / (11 * COARSE_STEPS));
}

/** The longest length in half miles or whole kilometres (below five miles or ten kilometres: quarter miles, half kilometres) within so many metres. */
export function longestWithin(metres: number, units: Units): number {
  const steps = Math.floor(stepsOf(metres, units) + 1e-6);
  return metresOf(steps < FINE_BELOW_STEPS ? steps : steps - (steps % COARSE_STEPS), units);
}

/** "18.5 mi", "4.25 mi", "30 km": as exact as a plan is, without idle decimals. */
export function planLength(metres: number, units: Units): string {
  const figure = metres / (units === 'mi' ? METRES_PER_MILE : 1000);
  return `${Math.round(figure * 100) / 100} ${units}`;
}
