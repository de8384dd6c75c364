/** What a row pays for a column: whole numbers, `Infinity` where the two do not go together. Rows are never more than columns. */
export type Costs = readonly (readonly number[])[];

interface Duals {
  columnOf: number[];
  /** The row of a column, `NONE` where it is free. */
  rowOf: number[];
  rowPrice: number[];
  /** Never above 0, and 0 for every free column. */
  columnPrice: number[];
}

const NONE = -1;

/**
 * A column of its own for every row, so that the sum of the costs is the least there is; of several such answers the one in which the first
 * row has the earliest column, then the second, and so on. Null where not every row can have one. n rows, m columns: O(n²m) steps; exact,
 * since it only adds whole numbers.
 * Source: shortest augmenting paths with prices (R. Jonker, A. Volgenant, Computing 38 (1987), after H. W. Kuhn 1955); that the cheapest
 * answers are just those of tight pairs covering every priced column is complementary slackness.
 */
export function cheapest(costs: Costs): number[] | null {
  const width = costs[0]?.length ?? 0;
  const duals: Duals = {
    columnOf: costs.map(() => NONE),
    rowOf: Array<number>(width).fill(NONE),
    rowPrice: costs.map(() => 0),
    columnPrice: Array<number>(width).fill(0),
  };
  for (let row = 0; row < costs.length; row += 1) if (!augment(costs, duals, row)) return null;
  for (let row = 0; row < costs.length; row += 1) earliest(costs, duals, row);
  return duals.columnOf;
}

/** Gives one more row a column by the cheapest path of exchanges (Dijkstra over reduced costs), and moves the prices along. */
function augment(costs: Costs, { columnOf, rowOf, rowPrice, columnPrice }: Duals, start: number): boolean {
  const width = rowOf.length;
  const away = Array<number>(width).fill(Number.POSITIVE_INFINITY);
  const from = Array<number>(width).fill(NONE);
  const done: number[] = [];
  const isDone = Array<boolean>(width).fill(false);
  let row = start;
  let reached = 0;
  for (;;) {
    let next = NONE;
    for (let column = 0; column < width; column += 1) {
      if (isDone[column]) continue;
      const cost = reached + at(costs[row], column) - at(rowPrice, row) - at(columnPrice, column);
      if (cost < at(away, column)) {
        away[column] = cost;
        from[column] = row;
      }
      if (next === NONE || at(away, column) < at(away, next)) next = column;
    }
    if (next === NONE || at(away, next) === Number.POSITIVE_INFINITY) return false;
    reached = at(away, next);
    if (rowOf[next] === NONE) {
      rowPrice[start] = at(rowPrice, start) + reached;
      for (const column of done) {
        const slack = reached - at(away, column);
        columnPrice[column] = at(columnPrice, column) - slack;
        rowPrice[at(rowOf, column)] = at(rowPrice, at(rowOf, column)) + slack;
      }
      swap({ columnOf, rowOf }, from, next, start);
      return true;
    }
    isDone[next] = true;
    done.push(next);
    row = at(rowOf, next);
  }
}

function swap({ columnOf, rowOf }: Pick<Duals, 'columnOf' | 'rowOf'>, from: number[], end: number, start: number): void {
  let column = end;
  for (;;) {
    const row = at(from, column);
    const freed = at(columnOf, row);
    columnOf[row] = column;
    rowOf[column] = row;
    if (row === start) return;
    column = freed;
  }
}

/**
 * Moves a row to the earliest column it can have at the same sum, the rows before it staying. Such a move is a round of tight pairs back to the column it
 * leaves; a free column moves along it as if a row of no cost held it.
 */
function earliest(costs: Costs, duals: Duals, row: number): void {
  const { columnOf, rowOf } = duals;
  const left = at(columnOf, row);
  const next = towards(costs, duals, row, left);
  const to = next.findIndex((step, column) => step !== NONE && isTight(costs, duals, row, column));
  if (to === left) return;
  let mover = row;
  let column = to;
  for (;;) {
    const displaced = at(rowOf, column);
    rowOf[column] = mover;
    if (mover !== NONE) columnOf[mover] = column;
    if (column === left) return;
    mover = displaced;
    column = at(next, column);
  }
}

/** For each column from which such a round leads to `left`, the column its holder goes to; `NONE` for the others. */
function towards(costs: Costs, duals: Duals, fixed: number, left: number): number[] {
  const { rowOf, columnPrice } = duals;
  const next = rowOf.map(() => NONE);
  next[left] = left;
  const queue = [left];
  for (const target of queue) {
    for (let column = 0; column < rowOf.length; column += 1) {
      if (next[column] !== NONE) continue;
      const holder = at(rowOf, column);
      const isFree = holder === NONE;
      if (!isFree && holder <= fixed) continue;
      if (isFree ? columnPrice[target] !== 0 : !isTight(costs, duals, holder, target)) continue;
      next[column] = target;
      queue.push(column);
    }
  }
  return next;
}

function isTight(costs: Costs, { rowPrice, columnPrice }: Duals, row: number, column: number): boolean {
  return at(costs[row], column) === at(rowPrice, row) + at(columnPrice, column);
}

function at(list: readonly number[] | undefined, index: number): number {
  return list?.[index] ?? Number.POSITIVE_INFINITY;
}
