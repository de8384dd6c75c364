import { agrees, type Ended, saidOf, type Word } from './closing-rules.js';
import { byPerson, type Entry, type Headcount, headcount, mayClose, standing } from './ledger.js';

/** How a leader says that the walk ended for someone. */
export interface Settled {
  who: string;
  ended: Ended;
  word: Word;
  /** The entries that their form showed; null for a form that does not say. */
  seen: readonly string[] | null;
}

/** What a closing form adds to the roll, or why it can't be. */
export interface Settlement {
  entries: Entry[];
  /** People of whom something else was heard since the form was opened. */
  changed: string[];
  counts: Headcount;
  /** Set off = finished + left early, with what is added. */
  mayClose: boolean;
}

/**
 * Brings the roll in line with what a leader says of each person: an entry for whoever the roll says something else of, and none where it
 * says so already, so that the same form posted twice adds nothing. Whoever was heard of since the form was opened is left as they are. Pure.
 * @param newId makes an entry's id
 */
export function settle(roster: readonly string[], kept: readonly Entry[], settled: readonly Settled[], newId: () => string): Settlement {
  const people = byPerson(kept);
  const entries: Entry[] = [];
  const changed: string[] = [];
  for (const { who, ended, word, seen } of settled) {
    const now = standing(people.get(who) ?? []);
    const said = saidOf(ended, word);
    if (!said || agrees(said, now)) continue;
    if (seen && !sameIds(seen, now.heads)) changed.push(who);
    else entries.push({ entry: newId(), who, said, after: now.heads });
  }
  const counts = headcount(roster, [...kept, ...entries]);
  return { entries, changed, counts, mayClose: changed.length === 0 && mayClose(counts) };
}

function sameIds(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((id) => b.includes(id));
}
