import { type AssignInput, type AssignLeader, type AssignRules, type Candidate, candidate, type Gap, mostInMonth } from './assign.js';
import { clashes, slotOf, slotsFor } from './assign-days.js';
import { byId, type Id } from './ids.js';

/** What is made as little as can be, the first before the second and so on; each is a whole number for a whole answer. */
export const LEVELS = ['missed', 'pledges', 'season', 'way', 'length'] as const;
export type Level = (typeof LEVELS)[number];

export interface Row {
  least: number;
  most: number;
  /** Columns with their factors, 1 or −1. */
  terms: [column: number, factor: number][];
}

/**
 * An integer programme. The first columns are the candidates, 0 or 1: does this leader lead this gap? The others are steps, between 0 and 1; they come
 * out whole by themselves, since each costs more than the one before.
 */
export interface AssignModel {
  candidates: Candidate[];
  /** A level's cost of each column: all have as many columns. */
  costs: Record<Level, number[]>;
  rows: Row[];
}

export interface Pair {
  leaderId: number;
  gapId: Id;
  /** The day it would be on. */
  date: string;
}

/** Fairness looks no further than this many walks ahead of the pledges or behind them: past it, figures would only grow. */
export const MOST_AHEAD = 24;
/** Ways and lengths are weighed to the hectometre. */
const HECTOMETRE = 100;

/** Walks led this season beyond those promised; below 0 where a leader is behind. */
export function aheadOf(leader: AssignLeader): number {
  return Math.max(-MOST_AHEAD, Math.min(MOST_AHEAD, leader.ledThisSeason - leader.pledgedThisSeason));
}

/** What one walk more costs a level that counts (walks + start)²: less the further a leader is behind, more with each. @param walks how many came before */
export function stepCost(start: number, walks: number): number {
  return 2 * (walks + start) + 1;
}

export function wayCost(metresAway: number): number {
  return Math.round(metresAway / HECTOMETRE);
}

/** How far a gap's length is from the middle of those the leader leads; 0 for a leader who leads any, and a gap of any. */
export function lengthCost(leader: AssignLeader, gap: Gap): number {
  if (gap.metres === null || leader.shortestMetres === null || leader.longestMetres === null) return 0;
  return Math.round(Math.abs(gap.metres - (leader.shortestMetres + leader.longestMetres) / 2) / HECTOMETRE);
}

/** Every pair that could be, in the order of ids, whatever the order given. */
export function candidatesOf({ leaders, gaps, rules }: AssignInput): Candidate[] {
  const ordered = gaps.toSorted(byId);
  return leaders.toSorted(byId).flatMap((leader) =>
    ordered.flatMap((gap) => {
      const found = candidate(leader, gap, rules);
      return typeof found === 'string' ? [] : [found];
    }),
  );
}

/**
 * The programme for a proposal. Each gap has one leader at most; a leader has at most what is left of the pledge and `overPledge` in a month, one walk a day,
 * and one a weekend where the rules say so. Five levels: the weight of the gaps left; the squares of what is left of each month's pledge or led beyond it
 * (so that those with most left come first, and each walk beyond weighs more than the one before); the same for the season; the way from the home area; how
 * well the lengths suit. They are solved one after the other, each keeping what those before it reached, so that no sum of one can outweigh another.
 */
export function assignmentModel(input: AssignInput): AssignModel {
  const candidates = candidatesOf(input);
  const costs: AssignModel['costs'] = {
    missed: candidates.map(({ gap }) => -gap.weight),
    pledges: candidates.map(() => 0),
    season: candidates.map(() => 0),
    way: candidates.map(({ metresAway }) => wayCost(metresAway)),
    length: candidates.map(({ leader, gap }) => lengthCost(leader, gap)),
  };
  const model: AssignModel = { candidates, costs, rows: [] };
  const columns = candidates.map((_, column) => column);
  for (const group of grouped(columns, (column) => candidates[column]?.gap.id)) atMost(model, group, 1);
  for (const group of grouped(columns, (column) => candidates[column]?.leader)) leaderRows(model, group, input.rules);
  return model;
}

function leaderRows(model: AssignModel, columns: number[], rules: AssignRules): void {
  const held = columns.flatMap((column) => {
    const one = model.candidates[column];
    return one ? [{ ...one, column }] : [];
  });
  const leader = held[0]?.leader;
  if (!leader) return;
  let most = 0;
  for (const group of grouped(held, ({ month }) => month)) {
    const month = group[0]?.month ?? '';
    const inMonth = Math.min(mostInMonth(leader, month, rules), group.length);
    most += inMonth;
    steps(
      model,
      'pledges',
      group.map(({ column }) => column),
      inMonth,
      -(leader.months[month]?.left ?? 0),
    );
  }
  steps(model, 'season', columns, most, aheadOf(leader));
  for (const clash of clashes(held))
    atMost(
      model,
      clash.of.map(({ column }) => column),
      clash.most,
    );
}

/** At most `most` of the columns; the first costs `stepCost(start, 0)`, the second `stepCost(start, 1)`, whichever they are. */
function steps(model: AssignModel, level: Level, columns: number[], most: number, start: number): void {
  if (most === 1) {
    for (const column of columns) model.costs[level][column] = stepCost(start, 0);
    atMost(model, columns, 1);
    return;
  }
  const terms: Row['terms'] = columns.map((column) => [column, 1]);
  for (let walks = 0; walks < most; walks += 1) {
    terms.push([model.costs[level].length, -1]);
    for (const each of LEVELS) model.costs[each].push(each === level ? stepCost(start, walks) : 0);
  }
  model.rows.push({ least: 0, most: 0, terms });
}

function atMost(model: AssignModel, columns: number[], most: number): void {
  if (columns.length > most) model.rows.push({ least: Number.NEGATIVE_INFINITY, most, terms: columns.map((column) => [column, 1]) });
}

/** The pairs that a solution's columns say, in the order of leaders and gaps, each with its day. @throws Error where a leader's days do not suffice */
export function readSolution(model: AssignModel, values: ArrayLike<number>, rules: AssignRules): Pair[] {
  const chosen = model.candidates.filter((_, column) => (values[column] ?? 0) > 0.5);
  return grouped(chosen, ({ leader }) => leader).flatMap((theirs) => {
    const slots = slotsFor(theirs);
    if (!slots) throw new Error('the programme gives a leader more walks than days');
    return theirs.map(({ leader, gap, dates }, index) => {
      const date = dates.find((one) => slotOf(one, rules.oneAWeekend) === slots[index]);
      return { leaderId: leader.id, gapId: gap.id, date: date ?? '' };
    });
  });
}

export function grouped<T>(all: readonly T[], by: (one: T) => unknown): T[][] {
  const groups = new Map<unknown, T[]>();
  for (const one of all) {
    const group = groups.get(by(one));
    if (group) group.push(one);
    else groups.set(by(one), [one]);
  }
  return [...groups.values()];
}
