/** What kind of thing happened, in plain words: what a leader chooses from, and what the summary counts. */
export const KINDS = {
  hurt: 'Hurt: a fall, a sprain, a cut',
  heat: 'Unwell from heat',
  water: 'Unwell from too little or too much water',
  cold: 'Unwell from cold',
  unwell: 'Unwell otherwise',
  lost: 'Lost, or missing for a time',
  traffic: 'Traffic, or nearly',
  child: 'Worry about a child',
  conduct: 'How somebody behaved',
  animal: 'A dog or another animal',
  property: 'Something lost or damaged',
  other: 'Something else',
} as const;
export type IncidentKind = keyof typeof KINDS;

/** How an incident ends. */
export const OUTCOMES = {
  recovered: 'They are well again, nothing more to do',
  talked: 'Talked over with the people concerned',
  passed: 'Passed on to those whose task it is',
  changed: 'A route, or a way of doing things, was changed',
  none: 'Nothing to follow up',
} as const;
export type Outcome = keyof typeof OUTCOMES;

export function isKind(typed: string): typed is IncidentKind {
  return Object.hasOwn(KINDS, typed);
}

export function isOutcome(typed: string): typed is Outcome {
  return Object.hasOwn(OUTCOMES, typed);
}
