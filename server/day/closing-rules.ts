import type { WalkFacts } from '../walks/facts.js';
import type { WalkRow } from '../walks/ledby.js';
import { byPerson, type Entry, HOME, type PersonSaid, type Standing, standingEntries, TOLD } from './ledger.js';

const DAY_MS = 24 * 60 * 60 * 1000;
/** A mistake found the next day can be put right for so long after the close. Common practice, no source. */
export const CORRECTED_FOR_MS = 14 * DAY_MS;

/** Entries that a closing form wrote come from this device. */
export const CLOSING_DEVICE = 'closing-form';

/**
 * Where a walk is on the way to being closed. It is open from the time of its set-off on, or as soon as its roll has the group at the finish; once
 * closed, correctable for 14 days. Pure. @param now ms @param isBack by its roll
 */
export function closingState(
  walk: Pick<WalkRow, 'state' | 'setOffAt' | 'closedAt'>,
  now: number,
  isBack = false,
): 'never' | 'early' | 'open' | 'correctable' | 'settled' {
  if (walk.state === 'draft' || walk.state === 'cancelled') return 'never';
  if (walk.state === 'posted') return now < walk.setOffAt && !isBack ? 'early' : 'open';
  return now < (walk.closedAt ?? 0) + CORRECTED_FOR_MS ? 'correctable' : 'settled';
}

/** How a walk ended for someone. `stop` of a short way or of who left early: from 1; 0 before the first stop. */
export type Ended = { how: 'full' } | { how: 'short'; stop: number } | { how: 'left'; stop: number } | { how: 'absent' };

/** With whom word was left, and how they got home: of who left early alone. */
export interface Word {
  told: string;
  home: string;
}

export const NO_WORD: Word = { told: '', home: '' };

/** How it ended by the roll; null while it is not settled. Which way someone finished by is not on the roll. Pure. */
export function endedBy({ state, stop }: Standing): Ended | null {
  if (state === 'finished') return { how: 'full' };
  if (state === 'left') return { how: 'left', stop };
  return state === 'not walking' ? { how: 'absent' } : null;
}

/** The word left by the roll. Pure. */
export function wordBy({ said }: Standing): Word {
  const [first] = said;
  return first?.kind === 'left' ? { told: first.told, home: first.home } : NO_WORD;
}

/** What an ending is on the roll; null for someone who left without word. Pure. */
export function saidOf(ended: Ended, { told, home }: Word): PersonSaid | null {
  if (ended.how === 'absent') return { kind: 'not walking' };
  if (ended.how !== 'left') return { kind: 'finished' };
  const [to, by] = [TOLD.find((one) => one === told), HOME.find((one) => one === home)];
  return to && by ? { kind: 'left', stop: ended.stop, told: to, home: by } : null;
}

/** Whether the roll says so already. Pure. */
export function agrees(said: PersonSaid, { state, said: stands }: Standing): boolean {
  if (state === 'disputed' || state !== said.kind) return false;
  const [first] = stands;
  if (said.kind !== 'left' || first?.kind !== 'left') return true;
  return first.stop === said.stop && first.told === said.told && first.home === said.home;
}

/** How far someone walked, in metres: all of it, by a short way, or to the last stop before they left. Pure. */
export function metresOf(ended: Ended, { distanceMetres, stops }: Pick<WalkFacts, 'distanceMetres' | 'stops'>): number {
  if (ended.how === 'full') return distanceMetres;
  if (ended.how === 'absent') return 0;
  const stop = stops[ended.stop - 1];
  return (ended.how === 'short' ? stop?.short?.length : stop?.metres) ?? 0;
}

/** "full", "short-2", "left-0", "absent": an ending as a form sends it. Pure. */
export function endedKey(ended: Ended): string {
  return 'stop' in ended ? `${ended.how}-${ended.stop}` : ended.how;
}

/** Every ending that a walk has, in the order of the form. Pure. */
export function endings({ stops }: Pick<WalkFacts, 'stops'>): Ended[] {
  const short = stops.flatMap((stop, index): Ended[] => (stop.short ? [{ how: 'short', stop: index + 1 }] : []));
  const left = [0, ...stops.map((_, index) => index + 1)].map((stop): Ended => ({ how: 'left', stop }));
  return [{ how: 'full' }, ...short, ...left, { how: 'absent' }];
}

/** People of whom a phone said something that was heard only after the close, and that nobody has settled since. Pure. @param closedAt ms */
export function heardLate(entries: readonly (Entry & { receivedAt: number; device: string })[], closedAt: number): Set<string> {
  const isLate = (one: { receivedAt: number; device: string }) => one.receivedAt > closedAt && one.device !== CLOSING_DEVICE;
  const people = [...byPerson(entries)].filter(([who]) => who !== 'group' && who !== 'back');
  return new Set(people.filter(([, own]) => standingEntries(own).some(isLate)).map(([who]) => who));
}
