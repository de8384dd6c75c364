import type { Tx } from '../db/open.js';
import { byPerson, type Entry, groupAt, type PersonSaid, standing } from './ledger.js';
import { entriesOf } from './store.js';

const ON_FOOT: readonly PersonSaid['kind'][] = ['set off', 'stop', 'finished'];

/**
 * Whether people are out by a roll: the group is on its way, or somebody, by any phone, set off. Whoever arrived and went home again from the
 * meeting point is not. Pure.
 */
export function isOut(entries: readonly Entry[]): boolean {
  if (groupAt(entries).at !== 'gathering') return true;
  const people = [...byPerson(entries)].filter(([who]) => /^[mt]/.test(who));
  return people.some(([, own]) => standing(own).said.some((said) => ON_FOOT.includes(said.kind)));
}

/** Whether people are out on a walk by its roll. One query. */
export function isOutOn(q: Tx, walkId: number): boolean {
  return isOut(entriesOf(q, walkId));
}

/** The furthest stop that a walk's roll says something of, from 1; 0 where it says nothing of any. One query. */
export function stopsCounted(q: Tx, walkId: number): number {
  return Math.max(0, ...entriesOf(q, walkId).map(({ said }) => ('stop' in said ? said.stop : 0)));
}
