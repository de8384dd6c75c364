import type { NewName, RollPerson, RollState, RollEntry } from './contract.js';

/** What a phone holds of one roll: the last that the service said, and what it has not taken yet. */
export interface Held {
  state: RollState;
  unsent: RollEntry[];
  names: NewName[];
  /** What our clock is ahead of the phone's, ms. */
  clockAhead: number;
}

/** Everything said of the walk: what the service has, and what waits here, its times by the clock of the service. Pure. */
export function entriesOf({ state, unsent, clockAhead }: Held): RollEntry[] {
  const known = new Set(state.entries.map((entry) => entry.entry));
  return [...state.entries, ...unsent.filter(({ entry }) => !known.has(entry)).map((entry) => ({ ...entry, at: entry.at + clockAhead }))];
}

const ADDED = { minor: false, guardian: null, guardianWho: null, waiver: false, withoutPlace: false };

/** Everyone on the roll, those included whom only this phone knows. Pure. */
export function peopleOf({ state, names }: Held): RollPerson[] {
  const known = new Set(state.people.map((person) => person.who));
  const added = names.map(({ key, name }) => ({ ...ADDED, who: `t${key}`, name }));
  return [...state.people, ...added.filter(({ who }) => !known.has(who))];
}

/**
 * One roll of two answers, in whatever order they came: entries only ever become more, the rest is what was said last by the clock of
 * the service. Pure.
 */
export function newest(a: RollState, b: RollState): RollState {
  const [older, newer] = a.now <= b.now ? [a, b] : [b, a];
  const known = new Set(newer.entries.map((entry) => entry.entry));
  return { ...newer, closed: a.closed || b.closed, entries: [...newer.entries, ...older.entries.filter(({ entry }) => !known.has(entry))] };
}

/** What of it still waits, each once: nothing leaves the queue before the service shows it. Pure. */
export function stillUnsent(unsent: RollEntry[], { entries }: RollState): RollEntry[] {
  const taken = new Set(entries.map((entry) => entry.entry));
  return [...new Map(unsent.map((one) => [one.entry, one])).values()].filter(({ entry }) => !taken.has(entry));
}

/** The same of the names. Pure. */
export function stillUnknown(names: NewName[], { people }: RollState): NewName[] {
  const taken = new Set(people.map((person) => person.who));
  return [...new Map(names.map((one) => [one.key, one])).values()].filter(({ key }) => !taken.has(`t${key}`));
}
