/** Something that wants to stand at `y` and takes `height` below it; the heavier, the less it is moved. */
export interface Wish {
  y: number;
  height: number;
  weight: number;
}

/**
 * Where each stands, in their order, none over the next and none above the first's own place, moved as little as can be:
 * the least sum of squares, found by pooling neighbours that would overlap (isotonic regression; Ayer et al. 1955).
 */
export function settle(wishes: Wish[]): number[] {
  const above = offsets(wishes);
  const pools: { sum: number; weight: number; count: number }[] = [];
  wishes.forEach(({ y, weight }, index) => {
    let pool = { sum: (y - (above[index] ?? 0)) * weight, weight, count: 1 };
    for (let last = pools.at(-1); last && last.sum / last.weight > pool.sum / pool.weight; last = pools.at(-1)) {
      pool = { sum: last.sum + pool.sum, weight: last.weight + pool.weight, count: last.count + pool.count };
      pools.pop();
    }
    pools.push(pool);
  });
  const floor = wishes[0]?.y ?? 0;
  const levels = pools.flatMap(({ sum, weight, count }) => Array<number>(count).fill(Math.max(floor, sum / weight)));
  return levels.map((level, index) => level + (above[index] ?? 0));
}

/** How much height stands above each. */
function offsets(wishes: Wish[]): number[] {
  let sum = 0;
  return wishes.map(({ height }) => {
    const before = sum;
    sum += height;
    return before;
  });
}
