import { addMonths, monthsFrom } from '../calc/month.js';
import { line, type Typed } from '../web/forms.js';
import { isMonth } from './changes.js';
import type { LeaderMonth } from './rules.js';
import type { LeaderMonths } from './store.js';

/** Months behind this one that the grid begins with. */
const MONTHS_BEFORE = 6;
export const WINDOWS = [12, 24] as const;
/** Rows of a page: with 24 months it stays under 150 kB. */
export const ROWS = 40;
/** Who needs a word is told by so many months behind, and the one to come. */
const LATELY = 3;
/** As far as the grid can be moved, either way. */
const FURTHEST_MONTHS = 240;

export const SORTS = [
  ['need', 'Who needs a word'],
  ['name', 'Name'],
  ['area', 'Area'],
  ['since', 'Longest a leader'],
] as const;
export type Sort = (typeof SORTS)[number][0];

/** What the grid is asked to show. */
export interface Asked {
  months: string[];
  /** The window that is shown unasked, this month in it. */
  isUsual: boolean;
  sort: Sort;
  /** An area's slug, or null for all. */
  area: string | null;
  page: number;
}

/** Reads the grid's address; whatever is none of the choices is as if it were not said. Pure. @param now the month it is */
export function readAsked(query: Typed, now: string): Asked {
  const count = WINDOWS.find((one) => String(one) === line(query, 'months')) ?? WINDOWS[0];
  const usual = addMonths(now, -MONTHS_BEFORE);
  const typed = line(query, 'from');
  const inReach = isMonth(typed) && typed >= addMonths(now, -FURTHEST_MONTHS) && typed <= addMonths(now, FURTHEST_MONTHS);
  const from = inReach ? typed : usual;
  const page = /^\d{1,4}$/.test(line(query, 'page')) ? Math.max(1, Number(line(query, 'page'))) : 1;
  return {
    months: monthsFrom(from, count),
    isUsual: from === usual,
    sort: SORTS.find(([sort]) => sort === line(query, 'sort'))?.[0] ?? 'need',
    area: line(query, 'area') || null,
    page,
  };
}

/** Every month that the grid has to know of, ascending: those shown, and those by which it tells who needs a word. Pure. */
export function monthsToCount(shown: string[], now: string): string[] {
  return [...new Set([...shown, ...monthsFrom(addMonths(now, -LATELY), LATELY + 2)])].sort();
}

/** Leaders in the order asked for; those who were stood down come last, whatever the order. Pure. */
export function sorted(leaders: LeaderMonths[], sort: Sort, now: string): LeaderMonths[] {
  const names = new Intl.Collator('en').compare;
  const by: Record<Sort, (a: Row, b: Row) => number> = {
    need: (a, b) => b.short - a.short || Number(b.isEmpty) - Number(a.isEmpty),
    name: () => 0,
    area: (a, b) => names(a.leader.areaName, b.leader.areaName),
    since: (a, b) => (a.leader.since ?? '9999').localeCompare(b.leader.since ?? '9999'),
  };
  return leaders
    .map((leader) => rowOf(leader, now))
    .sort((a, b) => Number(a.isGone) - Number(b.isGone) || by[sort](a, b) || names(a.leader.name, b.leader.name))
    .map((row) => row.leader);
}

interface Row {
  leader: LeaderMonths;
  isGone: boolean;
  /** Walks short in the last months. */
  short: number;
  /** Something is promised for the coming month, and nothing posted yet. */
  isEmpty: boolean;
}

function rowOf(leader: LeaderMonths, now: string): Row {
  const [first, coming] = [addMonths(now, -LATELY), addMonths(now, 1)];
  const lately = leader.months.filter((one) => one.month >= first && one.month < now);
  const next = leader.months.find((one) => one.month === coming);
  return {
    leader,
    isGone: leader.standing === 'stood_down',
    short: lately.reduce((sum, one) => sum + one.short, 0),
    isEmpty: next?.state === 'short' && next.kept + next.coming === 0,
  };
}

/** A month of several leaders together. */
export interface Total {
  /** Led and shared: a walk that two lead counts for each. */
  walks: number;
  pledged: number;
  /** Leaders who are short: one who leads more than they promised makes up for nobody. */
  short: number;
}

/** Totals of each area's leaders by month, areas by name, and of all of them. Pure. @param months those shown, each among the leaders' own */
export function totals(leaders: LeaderMonths[], months: string[]): { areaName: string; months: Total[] }[] {
  const byArea = new Map<string, LeaderMonths[]>();
  for (const leader of leaders) {
    const known = byArea.get(leader.areaName);
    if (known) known.push(leader);
    else byArea.set(leader.areaName, [leader]);
  }
  const areas = [...byArea].sort((a, b) => new Intl.Collator('en').compare(a[0], b[0]));
  const rows = areas.map(([areaName, own]) => ({ areaName, months: totalOf(own, months) }));
  return rows.length > 1 ? [...rows, { areaName: 'All areas', months: totalOf(leaders, months) }] : rows;
}

function totalOf(leaders: LeaderMonths[], months: string[]): Total[] {
  const sums = months.map(() => ({ walks: 0, pledged: 0, short: 0 }));
  for (const leader of leaders)
    for (const [index, one] of shownOf(leader, months).entries()) {
      const sum = sums[index];
      if (!sum) continue;
      sum.walks += one.kept + one.coming;
      // What somebody is excused is not expected.
      sum.pledged += one.state === 'excused' ? 0 : (one.pledge ?? 0);
      if (one.short > 0) sum.short += 1;
    }
  return sums;
}

/** A leader's months that are shown, in their order. Pure. @param months a run of consecutive ones */
export function shownOf(leader: LeaderMonths, months: string[]): LeaderMonth[] {
  const begin = leader.months.findIndex((one) => one.month === months[0]);
  return leader.months.slice(begin, begin + months.length);
}
