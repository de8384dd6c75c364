import { byPerson, type Entry, type GroupSaid, groupAt, headcount, missingAt, standing } from '../ledger.js';
import type { Phase } from './rows.js';

export interface Figure {
  label: string;
  value: number;
  /** Somebody is still to be found: it stands out. */
  open: boolean;
}

/** Where the group is. Pure. */
export function phaseOf(entries: readonly Entry[]): Phase {
  return phaseNumber(groupAt(entries));
}

export function phaseNumber(said: GroupSaid): Phase {
  if (said.at === 'stop') return 1 + said.stop;
  return { gathering: 0, 'set off': 1, finish: Number.POSITIVE_INFINITY }[said.at];
}

/** Who is still to be found where the group is: to come, not counted at this stop, not at the finish. On the way nobody. Pure. */
export function awaited(phase: Phase, roster: readonly string[], entries: readonly Entry[]): string[] {
  if (phase > 1) return missingAt(phase - 1, roster, entries);
  const people = byPerson(entries);
  const states = phase === 0 ? ['expected', 'disputed'] : ['disputed'];
  return roster.filter((who) => states.includes(standing(people.get(who) ?? []).state));
}

/** The four figures that matter where the group is. Pure. */
export function figuresOf(phase: Phase, roster: readonly string[], entries: readonly Entry[]): Figure[] {
  const count = headcount(roster, entries);
  const figure = (label: string, value: number, open = false): Figure => ({ label, value, open: open && value > 0 });
  if (phase === 0)
    return [
      figure('signed up', count.signedUp),
      figure('arrived', count.arrived),
      figure('to come', count.toCome + count.disputed, true),
      figure('not walking', count.notWalking),
    ];
  const missing = awaited(phase, roster, entries).length;
  const left = figure('left early', count.left);
  if (phase === 1) return [figure('set off', count.setOff), figure('on the way', count.onTheWay), left];
  if (phase === Number.POSITIVE_INFINITY)
    return [figure('set off', count.setOff), figure('finished', count.finished), figure('still out', missing, true), left];
  return [figure('set off', count.setOff), figure('here', count.onTheWay + count.finished - missing + count.disputed, false), figure('missing', missing, true), left];
}
