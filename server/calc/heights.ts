/** A height that is known, metres, and where along the way. */
export interface Height {
  metres: number;
  height: number;
}

/**
 * The mean height of the way around each end of `steps` even steps: of half a step to either side, and of less near the way's ends, so
 * that a steady slope stays as it is. It is the way's mean and not its points': more points on a stretch don't weigh more.
 * @param known at least one, ascending along the way; between two the way is straight, before the first and beyond the last level
 */
export function heightMeans(known: readonly Height[], steps: number, stepMetres: number): number[] {
  const areas = areasOf(known);
  const lengthMetres = steps * stepMetres;
  return Array.from({ length: steps + 1 }, (_, index) => {
    const middle = index * stepMetres;
    const half = index === 0 || index === steps ? 0 : Math.min(stepMetres / 2, middle, lengthMetres - middle);
    if (half === 0) return locate(known, middle).height;
    return (areaTo(known, areas, middle + half) - areaTo(known, areas, middle - half)) / (2 * half);
  });
}

/** The area under the way, square metres, from its first known height to each. */
function areasOf(known: readonly Height[]): number[] {
  let area = 0;
  return known.map((to, index) => {
    const from = known[index - 1];
    if (from) area += ((from.height + to.height) / 2) * (to.metres - from.metres);
    return area;
  });
}

function areaTo(known: readonly Height[], areas: readonly number[], metres: number): number {
  const { index, from, height } = locate(known, metres);
  return (areas[index] ?? 0) + ((from.height + height) / 2) * (metres - from.metres);
}

/** The height at a point of the way, and the known one at or before it. */
function locate(known: readonly Height[], metres: number): { index: number; from: Height; height: number } {
  const index = Math.max(0, lastAtOrBefore(known, metres));
  const from = known[index] ?? { metres, height: 0 };
  const to = known[index + 1];
  if (!to || metres <= from.metres) return { index, from, height: from.height };
  return { index, from, height: from.height + ((to.height - from.height) * (metres - from.metres)) / (to.metres - from.metres) };
}

/** The index of the last known height that is not beyond `metres`; −1 where there is none. */
function lastAtOrBefore(known: readonly Height[], metres: number): number {
  let [low, high] = [-1, known.length - 1];
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if ((known[middle]?.metres ?? 0) <= metres) low = middle;
    else high = middle - 1;
  }
  return low;
}
