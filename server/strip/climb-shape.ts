import type { Profile } from '../calc/profile.js';
import { tenth } from './pen.js';

/** A walk that rises and falls less than this is drawn as flat, that is, not at all. */
const FLAT_METRES = 10;
/** A range below this does not fill the width: gentle ground should not look like a mountain. */
const FULL_METRES = 60;
/** Where the shape ends under the line, and how far to the left the lowest and the highest ground reach. */
const EDGE = 104;
const LOWEST = 96;
const HIGHEST = 59;
/** One point to so much of the line's length: what the eye can tell, and light to send. */
const PITCH = 8;
const MOST_POINTS = 120;

/** The lowest and the highest ground, metres. */
export interface HeightRange {
  low: number;
  high: number;
}

/** The heights between which a walk rises and falls; null where nothing is known or it is flat. */
export function heightRange(profile: Profile | null): HeightRange | null {
  if (!profile) return null;
  const low = Math.min(...profile.elevations);
  const high = Math.max(...profile.elevations);
  return high - low < FLAT_METRES ? null : { low, high };
}

/** The heights as a shape left of a line `length` long from `top`: the higher the ground, the wider. '' where there is no range to show. */
export function climbShape(profile: Profile | null, range: HeightRange | null, length: number, top: number): string {
  if (!profile || !range) return '';
  const perMetre = (LOWEST - HIGHEST) / Math.max(range.high - range.low, FULL_METRES);
  const heights = thinned(profile.elevations, Math.min(MOST_POINTS, Math.max(2, Math.ceil(length / PITCH))));
  const points = heights.map((height, index) => ({
    x: tenth(LOWEST - (height - range.low) * perMetre),
    y: Math.round(top + (length * index) / (heights.length - 1)),
  }));
  return `M${EDGE} ${top}${curve(points)}H${EDGE}Z`;
}

/** A smooth line: each point pulls, the line passes half-way between them. */
function curve(points: { x: number; y: number }[]): string {
  const [first] = points;
  const last = points.at(-1);
  if (!first || !last) return '';
  const middle = points
    .slice(1, -1)
    .map((point, index) => {
      const next = points[index + 2] ?? last;
      return `Q${point.x} ${point.y} ${tenth((point.x + next.x) / 2)} ${(point.y + next.y) / 2}`;
    })
    .join('');
  return `L${first.x} ${first.y}${middle}L${last.x} ${last.y}`;
}

/** At most `most` heights, each the mean of those it stands for; the ends stay. */
function thinned(heights: number[], most: number): number[] {
  if (heights.length <= most) return heights;
  const per = (heights.length - 1) / (most - 1);
  return Array.from({ length: most }, (_, index) => {
    if (index === 0 || index === most - 1) return heights[Math.round(index * per)] ?? 0;
    const near = heights.slice(Math.ceil((index - 0.5) * per), Math.ceil((index + 0.5) * per));
    return near.reduce((sum, height) => sum + height, 0) / near.length;
  });
}
