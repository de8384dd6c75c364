import { CLIMB_THRESHOLD_METRES, climb } from '../../server/calc/route.js';

/** A summit or a hollow of a way: the mile it is at, and how high it lies there against the others. */
export type Hill = readonly [mile: number, height: number];

const HALVINGS = 24;
/** Small ups and downs on the way from one hill to the next: as a part of the highest, and how long in miles. */
const ROUGHNESS = 0.012;
const ROUGH_MILES = 0.31;

/**
 * Heights at each of `miles` along a way, metres to a tenth: over its hills, made as high as gives `ascentMetres` of climb by our own
 * count. `base` is the height of the start.
 */
export function heightsAt(miles: readonly number[], hills: readonly Hill[], base: number, ascentMetres: number): number[] {
  const shape = miles.map((mile) => relativeAt(hills, mile) + ROUGHNESS * Math.sin((2 * Math.PI * mile) / ROUGH_MILES));
  const start = shape[0] ?? 0;
  const scaled = (by: number) => shape.map((height) => Math.round((base + (height - start) * by) * 10) / 10);
  let [low, high] = [0, ascentMetres * 3];
  for (let halving = 0; halving < HALVINGS; halving++) {
    const middle = (low + high) / 2;
    if (climb(scaled(middle), CLIMB_THRESHOLD_METRES).ascent < ascentMetres) low = middle;
    else high = middle;
  }
  return scaled(high);
}

/** The relative height at a mile: a hill's flank is steepest half way, and level at its top and foot. */
function relativeAt(hills: readonly Hill[], mile: number): number {
  const from = hills.findLast(([at]) => at <= mile) ?? hills[0];
  const to = hills.find(([at]) => at > mile);
  if (!from || !to) return from?.[1] ?? 0;
  const share = (mile - from[0]) / (to[0] - from[0]);
  return from[1] + ((to[1] - from[1]) * (1 - Math.cos(Math.PI * share))) / 2;
}
