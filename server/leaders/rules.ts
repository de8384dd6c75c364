/** How a leader's month stands. `due` is a month to come with nothing missing yet to say of it. */
export type Commitment = { state: 'kept' | 'on course' | 'excused' | 'none'; short: 0 } | { state: 'short'; short: number };

export interface MonthWalks {
  /** Walks that set off, or were cancelled for safety: they count as kept, so that nobody leads in a storm for a number. */
  kept: number;
  /** Posted walks still to come. */
  coming: number;
}

/**
 * The state of one leader's month.
 * @param pledge walks promised; null before the leader began
 */
export function commitment(pledge: number | null, excused: boolean, walks: MonthWalks): Commitment {
  if (pledge === null) return { state: 'none', short: 0 };
  if (walks.kept >= pledge) return { state: 'kept', short: 0 };
  if (excused) return { state: 'excused', short: 0 };
  const short = pledge - walks.kept - walks.coming;
  return short > 0 ? { state: 'short', short } : { state: 'on course', short: 0 };
}

/** The pledge that speaks for a month: the latest made from a month not after it. */
export function pledgeFor(month: string, sinceMonth: string, pledges: { fromMonth: string; walks: number }[]): number | null {
  if (month < sinceMonth) return null;
  const made = pledges.filter((pledge) => pledge.fromMonth <= month).sort((a, b) => a.fromMonth.localeCompare(b.fromMonth));
  return made.at(-1)?.walks ?? 1;
}
