import {
  type AssignInput,
  type AssignLeader,
  type AssignRules,
  type Candidate,
  eligible,
  type Gap,
  mostInMonth,
  WHY_NOT,
  type WhyNot,
} from './assign.js';
import { slotsFor } from './assign-days.js';
import { aheadOf, grouped, lengthCost, type Pair, stepCost, wayCost } from './assign-model.js';
import { byId, type Id } from './ids.js';

const MOST_OTHERS = 5;

/** What speaks for a leader, as facts; the page makes sentences of them. */
export interface Reasons {
  leaderId: number;
  isHomeArea: boolean;
  /** Metres from the centre of the home area. */
  metresAway: number;
  /** The gap's dates which they can do. */
  dates: string[];
  /** Of the month it would count for, before anything that is proposed here. */
  pledged: number;
  left: number;
  ledThisSeason: number;
}

/** A gap with the leader proposed, and others it could be instead, everything else staying as proposed: the best first. */
export interface Proposed {
  gapId: Id;
  date: string;
  leader: Reasons;
  others: Reasons[];
}

/** A gap for which nobody is proposed. */
export interface Unfilled {
  gapId: Id;
  /** What kept back those leaders who came nearest; `taken`: some could, and are proposed for others. */
  why: WhyNot | 'taken';
  others: Reasons[];
}

export interface Explained {
  proposed: Proposed[];
  unfilled: Unfilled[];
}

/** Why these pairs, who else could lead each gap, and why nobody leads the others. In the order of the gaps' ids. @param candidates every pair that could be */
export function explain(input: AssignInput, candidates: readonly Candidate[], pairs: readonly Pair[]): Explained {
  const pairOf = new Map(pairs.map((pair) => [pair.gapId, pair]));
  const byGap = new Map(grouped(candidates, ({ gap }) => gap.id).map((group) => [group[0]?.gap.id, group]));
  const chosen = candidates.filter(({ leader, gap }) => pairOf.get(gap.id)?.leaderId === leader.id);
  const leads = new Map(grouped(chosen, ({ leader }) => leader.id).map((theirs) => [theirs[0]?.leader.id, theirs]));
  const explained: Explained = { proposed: [], unfilled: [] };
  for (const gap of input.gaps.toSorted(byId)) {
    const all = byGap.get(gap.id) ?? [];
    const pair = pairOf.get(gap.id);
    const others = othersOf(
      all.filter(({ leader }) => leader.id !== pair?.leaderId),
      leads,
      input.rules,
    );
    const one = all.find(({ leader }) => leader.id === pair?.leaderId);
    if (pair && one) explained.proposed.push({ gapId: gap.id, date: pair.date, leader: reasons(one), others });
    else explained.unfilled.push({ gapId: gap.id, why: all.length > 0 ? 'taken' : nearest(input.leaders, gap, input.rules), others });
  }
  return explained;
}

function reasons({ leader, gap, month, dates, metresAway }: Candidate): Reasons {
  const { pledged = 0, left = 0 } = leader.months[month] ?? {};
  const isHomeArea = leader.homeAreaId === gap.areaId;
  return { leaderId: leader.id, isHomeArea, metresAway, dates, pledged, left, ledThisSeason: leader.ledThisSeason };
}

/** Those who could take it beside what they are proposed for, by what it would cost on each level. */
function othersOf(candidates: Candidate[], leads: ReadonlyMap<number | undefined, Candidate[]>, rules: AssignRules): Reasons[] {
  return candidates
    .flatMap((one) => {
      const theirs = leads.get(one.leader.id) ?? [];
      const inMonth = theirs.filter(({ month }) => month === one.month).length;
      if (inMonth >= mostInMonth(one.leader, one.month, rules) || !slotsFor([...theirs, one])) return [];
      return [{ one, cost: marginal(one, inMonth, theirs.length) }];
    })
    .sort((a, b) => compare(a.cost, b.cost))
    .slice(0, MOST_OTHERS)
    .map(({ one }) => reasons(one));
}

/** What one walk more costs, level by level, and the id, so that no two are the same. */
function marginal({ leader, gap, month, metresAway }: Candidate, inMonth: number, inSeason: number): number[] {
  const left = leader.months[month]?.left ?? 0;
  return [stepCost(-left, inMonth), stepCost(aheadOf(leader), inSeason), wayCost(metresAway), lengthCost(leader, gap), leader.id];
}

function compare(a: number[], b: number[]): number {
  const differing = a.findIndex((value, index) => value !== b[index]);
  return differing < 0 ? 0 : (a[differing] ?? 0) - (b[differing] ?? 0);
}

function nearest(leaders: readonly AssignLeader[], gap: Gap, rules: AssignRules): WhyNot {
  const found = new Set(leaders.map((leader) => eligible(leader, gap, rules)));
  return WHY_NOT.findLast((whyNot) => found.has(whyNot)) ?? 'area';
}
