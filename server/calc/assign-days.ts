import { cheapest } from './cheapest.js';
import { addDays } from './month.js';

const SUNDAY = 7;

/** What a leader leads at most one walk in. */
export interface Slotted {
  /** The days, or weekends, one of which the walk would take. */
  slots: readonly string[];
}

/** 1 is Monday, 7 Sunday. @throws RangeError for a date that is none */
export function weekdayOf(date: string): number {
  const day = new Date(`${date}T00:00:00Z`).getUTCDay();
  if (Number.isNaN(day)) throw new RangeError(`no such date: ${date}`);
  return day === 0 ? SUNDAY : day;
}

/** What a walk on a date takes of its leader: the day, or with rest the whole weekend, which goes by its Saturday. */
export function slotOf(date: string, oneAWeekend: boolean): string {
  return oneAWeekend && weekdayOf(date) === SUNDAY ? addDays(date, -1) : date;
}

/** Of one leader's possible walks, those of which no more than `most` can be led. */
export interface Clash<T> {
  of: T[];
  most: number;
}

/**
 * One leader's possible walks as clashes. Walks that keep within every clash can each have a slot of their own, and only these can: Hall's theorem (P.
 * Hall, 1935), for which it is enough to look at unions of slots that hang together.
 */
export function clashes<T extends Slotted>(walks: readonly T[]): Clash<T>[] {
  return unions(walks.map((walk) => walk.slots))
    .map((slots) => ({ of: walks.filter((walk) => walk.slots.every((slot) => slots.has(slot))), most: slots.size }))
    .filter((clash) => clash.of.length > clash.most);
}

/** The sets, and every union that grows from one by sets that overlap it. A week's days make 127 at most. */
function unions(sets: (readonly string[])[]): Set<string>[] {
  const found = new Map<string, Set<string>>();
  const queue: Set<string>[] = [];
  const add = (set: Set<string>) => {
    const name = [...set].sort().join(' ');
    if (found.has(name)) return;
    found.set(name, set);
    queue.push(set);
  };
  for (const set of sets) add(new Set(set));
  const first = [...queue];
  for (const grown of queue) for (const set of first) if ([...set].some((slot) => grown.has(slot))) add(new Set([...grown, ...set]));
  return [...found.values()];
}

/** A slot of its own for each of one leader's walks, early ones before late ones; null where there are not enough. */
export function slotsFor(walks: readonly Slotted[]): string[] | null {
  const slots = [...new Set(walks.flatMap((walk) => walk.slots))].sort();
  if (slots.length < walks.length) return null;
  const columns = cheapest(walks.map((walk) => slots.map((slot, index) => (walk.slots.includes(slot) ? index : Number.POSITIVE_INFINITY))));
  return columns?.map((column) => slots[column] ?? '') ?? null;
}
