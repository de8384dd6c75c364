/** What is reported of an area's month, or of several together. Lengths are metres. */
export interface Figures {
  led: number;
  /** Cancelled for safety, and otherwise. */
  safety: number;
  other: number;
  /** Of the walks led. */
  metres: number;
  people: number;
  /** Sign-ups that those people came by. */
  parties: number;
  minors: number;
  /** Each person's own metres together. */
  personMetres: number;
  firstTimers: number;
  /** Who led or shared a walk, by their numbers: somebody counts once, in however many months. */
  leaders: ReadonlySet<number>;
}

export const NOTHING: Figures = {
  led: 0,
  safety: 0,
  other: 0,
  metres: 0,
  people: 0,
  parties: 0,
  minors: 0,
  personMetres: 0,
  firstTimers: 0,
  leaders: new Set(),
};

/** Figures of several months or areas as one. Pure. */
export function together(all: readonly Figures[]): Figures {
  const leaders = new Set<number>();
  const sum = { ...NOTHING, leaders };
  for (const one of all) {
    for (const key of ADDED) sum[key] += one[key];
    for (const leader of one.leaders) leaders.add(leader);
  }
  return sum;
}

const ADDED = ['led', 'safety', 'other', 'metres', 'people', 'parties', 'minors', 'personMetres', 'firstTimers'] as const;

/** People to a sign-up, on average; null where nobody came. Pure. */
export function averageParty({ people, parties }: Pick<Figures, 'people' | 'parties'>): number | null {
  return parties === 0 ? null : people / parties;
}

/** Whether there is nothing to report. Pure. */
export function isNothing({ led, safety, other }: Figures): boolean {
  return led + safety + other === 0;
}
