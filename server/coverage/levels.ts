import type { Highs, Model } from 'highs';
import { type AssignModel, LEVELS, type Level } from '../calc/assign-model.js';

/** An answer on the way: good in itself, and proven on the levels that have their bound met. */
export interface Step {
  isOptimal: boolean;
  /** By column of the model. */
  values: number[];
  /** By level, the least that was proven possible, those before it being as good as can be. */
  bound: Partial<Record<Level, number>>;
}

/** How far floating point may take a column, and a level's sum, from the whole number meant: whole sums are 1 apart. */
const OFF_COLUMN = 1e-6;
const OFF_SUM = 1e-3;
/** HiGHS's codes of how a run ended, and of a solution that keeps within all rows. */
const OPTIMAL = 7;
const TIME_LIMIT = 13;
const FEASIBLE = 2;

/**
 * Solves the levels one after the other; each adds a row that keeps what it reached. After every level the answer so far; the last one is optimal, or where
 * the time ran out. First as a linear programme: its best corner is nearly always whole (gaps are a partition matroid, a leader's walks one of their own, and two
 * matroids' polytopes meet in whole corners: J. Edmonds 1970), and then proven best; where it is not, as with a weekend in two months, branch and bound goes on
 * from its bound.
 * @param msLeft what is left of the time
 */
export function* solveLevels(highs: Highs, programme: AssignModel, msLeft: () => number): Generator<Step> {
  const model = highs.createModel(sparse(highs, programme));
  // A gap of under 1 between whole numbers is none.
  model.options.set({ output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0.5 });
  const bound: Step['bound'] = {};
  let values = programme.costs.missed.map(() => 0);
  try {
    for (const level of LEVELS) {
      const costs = programme.costs[level];
      model.changeColsCost({ kind: 'range', from: 0, to: costs.length - 1 }, costs);
      const found = solveLevel(model, programme, values, msLeft);
      values = found.values ?? values;
      if (found.bound !== null) bound[level] = found.bound;
      const reached = total(costs, values);
      const isProven = found.bound !== null && found.bound >= reached;
      yield { isOptimal: isProven && level === LEVELS.at(-1), values, bound: { ...bound } };
      if (!isProven) return;
      const terms = costs.flatMap((cost, column) => (cost === 0 ? [] : [[column, cost] as const]));
      model.addRow(-highs.infinity, reached, { indices: terms.map(([column]) => column), values: terms.map(([, cost]) => cost) });
    }
  } finally {
    model.dispose();
  }
}

interface Found {
  /** Null where none came up in time. */
  values: number[] | null;
  bound: number | null;
}

function solveLevel(model: Model, programme: AssignModel, start: number[], msLeft: () => number): Found {
  setWhole(model, programme, false);
  if (run(model, msLeft()) !== OPTIMAL) return { values: null, bound: null };
  const bound = wholeAbove(model.getObjectiveValue());
  const linear = model.getSolution().colValue;
  if (linear.subarray(0, programme.candidates.length).every(isWhole)) return { values: wholeColumns(programme, linear), bound };
  setWhole(model, programme, true);
  // What it finds in a part of the time is then no worse than what there is.
  model.setSolution({ colValue: start });
  const isOptimal = run(model, msLeft()) === OPTIMAL;
  const isFound = model.info.get('primal_solution_status') === FEASIBLE;
  const proven = Number(isOptimal ? model.getObjectiveValue() : model.info.get('mip_dual_bound'));
  return {
    values: isFound ? wholeColumns(programme, model.getSolution().colValue) : null,
    bound: Math.max(bound, Number.isFinite(proven) ? wholeAbove(proven) : bound),
  };
}

/** The least whole number that a sum of floating point, which stands for at least this much, can be. */
function wholeAbove(sum: number): number {
  // Not −0.
  return Math.ceil(sum - OFF_SUM) + 0;
}

function isWhole(value: number): boolean {
  return Math.abs(value - Math.round(value)) <= OFF_COLUMN;
}

/** The candidates as 0 or 1, and as many steps as they ask for, the cheapest first: what the costs of a level are counted by. */
function wholeColumns({ candidates, rows }: AssignModel, solved: Float64Array): number[] {
  const values = Array.from(solved, (value, column) => (column < candidates.length ? Math.round(value) : 0));
  for (const { terms } of rows.filter(({ least, most }) => least === most)) {
    const taken = terms.filter(([column, factor]) => factor > 0 && values[column] === 1).length;
    for (const [column] of terms.filter(([, factor]) => factor < 0).slice(0, taken)) values[column] = 1;
  }
  return values;
}

/** @throws Error where HiGHS ends with anything but an optimum or the end of the time: each row can be kept, by nobody leading anything if need be */
function run(model: Model, msLeft: number): number {
  // HiGHS counts the time of all runs of a model.
  model.zeroAllClocks();
  model.options.set('time_limit', Math.max(0, msLeft / 1000));
  model.run();
  const status = model.getModelStatus();
  if (status !== OPTIMAL && status !== TIME_LIMIT) throw new Error(`the solver ended with status ${status}`);
  return status;
}

function setWhole(model: Model, { candidates, costs }: AssignModel, isInteger: boolean): void {
  const types = costs.missed.map((_, column) => (isInteger && column < candidates.length ? 1 : 0));
  model.changeColsIntegrality({ kind: 'range', from: 0, to: types.length - 1 }, types);
}

function total(costs: number[], values: number[]): number {
  return costs.reduce((sum, cost, column) => sum + cost * (values[column] ?? 0), 0);
}

function sparse(highs: Highs, { costs, rows }: AssignModel) {
  const columns = costs.missed.length;
  const starts = [0];
  for (const row of rows) starts.push((starts.at(-1) ?? 0) + row.terms.length);
  const terms = rows.flatMap((row) => row.terms);
  return {
    numCols: columns,
    numRows: rows.length,
    colCost: costs.missed,
    colLower: costs.missed.map(() => 0),
    colUpper: costs.missed.map(() => 1),
    rowLower: rows.map(({ least }) => Math.max(least, -highs.infinity)),
    rowUpper: rows.map(({ most }) => most),
    matrix: {
      format: 'csr' as const,
      numRows: rows.length,
      numCols: columns,
      starts,
      indices: terms.map(([column]) => column),
      values: terms.map(([, factor]) => factor),
    },
  };
}
