import type { NewName, RollEntry, RollPerson, RollState, SentEntry } from '../contract.js';

/** What a phone holds of one roll: the last that the service said, and what it has not taken yet. */
export interface Held {
  state: RollState;
  /** By the phone's own clock. */
  unsent: SentEntry[];
  names: NewName[];
  /** What our clock is ahead of the phone's, ms. */
  clockAhead: number;
}

const ADDED = { minor: false, guardian: null, guardianWho: null, waiver: false, withoutPlace: false };

/** The roll as the phone shows it: what the service said, and what waits here, its times by our clock. Pure. @param now ms, by the phone's clock */
export function shown({ state, unsent, names, clockAhead }: Held, now: number): RollState {
  const added = stillUnknown(names, state).map(({ key, name }): RollPerson => ({ ...ADDED, who: `t${key}`, name }));
  const waiting = stillUnsent(unsent, state).map((entry): RollEntry => ({ ...entry, at: entry.at + clockAhead }));
  return { ...state, now: now + clockAhead, people: [...state.people, ...added], entries: [...state.entries, ...waiting] };
}

/**
 * One roll of two answers, in whatever order they came: entries only ever become more, the rest is what was said last by our clock. Pure.
 */
export function newest(a: RollState, b: RollState): RollState {
  const [older, newer] = a.now <= b.now ? [a, b] : [b, a];
  const known = new Set(newer.entries.map((entry) => entry.entry));
  return { ...newer, closed: a.closed || b.closed, entries: [...newer.entries, ...older.entries.filter(({ entry }) => !known.has(entry))] };
}

/** What of it still waits, each once: nothing leaves the queue before the service shows it. Pure. */
export function stillUnsent(unsent: SentEntry[], { entries }: Pick<RollState, 'entries'>): SentEntry[] {
  const taken = new Set(entries.map((entry) => entry.entry));
  return [...new Map(unsent.map((one) => [one.entry, one])).values()].filter(({ entry }) => !taken.has(entry));
}

/** The same of the names. Pure. */
export function stillUnknown(names: NewName[], { people }: Pick<RollState, 'people'>): NewName[] {
  const taken = new Set(people.map((person) => person.who));
  return [...new Map(names.map((one) => [one.key, one])).values()].filter(({ key }) => !taken.has(`t${key}`));
}
