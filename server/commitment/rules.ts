/** How a leader's month stands. */
export type Commitment = { state: 'kept' | 'on course' | 'excused' | 'none'; short: 0 } | { state: 'short'; short: number };

export interface MonthWalks {
  /** Walks that set off, or were cancelled for safety: they count as kept, so that nobody leads in a storm for a number. */
  kept: number;
  /** Posted walks still to come. */
  coming: number;
}

/**
 * The state of one leader's month. Pure.
 * @param pledge walks promised; null where nothing is asked: before a leader began, or after they were stood down
 */
export function commitment(pledge: number | null, excused: boolean, walks: MonthWalks): Commitment {
  if (pledge === null) return { state: 'none', short: 0 };
  if (walks.kept >= pledge) return { state: 'kept', short: 0 };
  if (excused) return { state: 'excused', short: 0 };
  const short = pledge - walks.kept - walks.coming;
  return short > 0 ? { state: 'short', short } : { state: 'on course', short: 0 };
}

/** A stretch in which someone leads. Months are YYYY-MM; `untilMonth` is the first in which nothing is asked any more. */
export interface Term {
  fromMonth: string;
  untilMonth: string | null;
}

export interface Pledge {
  fromMonth: string;
  walks: number;
}

/** Whether a month is asked of a leader: within one of their terms. Pure. */
export function isAsked(month: string, terms: Term[]): boolean {
  return terms.some((term) => term.fromMonth <= month && (term.untilMonth === null || month < term.untilMonth));
}

/** The pledge that speaks for a month: the latest made from a month not after it; null where the month is not asked of them. Pure. */
export function pledgeFor(month: string, terms: Term[], pledges: Pledge[]): number | null {
  return isAsked(month, terms) ? standingPledge(month, pledges) : null;
}

/** The same without asking whether they lead in that month. Who has said nothing has promised one. Pure. */
export function standingPledge(month: string, pledges: Pledge[]): number {
  let latest: Pledge | undefined;
  for (const pledge of pledges)
    if (pledge.fromMonth <= month && (latest === undefined || pledge.fromMonth > latest.fromMonth)) latest = pledge;
  return latest?.walks ?? 1;
}

/** A leader's side of the months: when they led, what they promised, what they were excused. */
export interface Record {
  terms: Term[];
  pledges: Pledge[];
  excused: ReadonlySet<string>;
}

export type LeaderMonth = Commitment & MonthWalks & { month: string; pledge: number | null; isOver: boolean; isFirst: boolean };

/** One month of a leader. `isOver`: they led before it, and not any more. `isFirst`: a term begins with it. Pure. */
export function leaderMonth(month: string, record: Record, walks: MonthWalks): LeaderMonth {
  const pledge = pledgeFor(month, record.terms, record.pledges);
  const isOver = pledge === null && record.terms.some((term) => term.untilMonth !== null && term.untilMonth <= month);
  const isFirst = record.terms.some((term) => term.fromMonth === month);
  const { state, short } = commitment(pledge, record.excused.has(month), walks);
  // Written out: a grid has tens of thousands of them, and spreading is slow.
  return { month, pledge, isOver, isFirst, kept: walks.kept, coming: walks.coming, state, short } as LeaderMonth;
}
