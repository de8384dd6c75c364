import { offsetName, resolveWall } from '../calc/zone.js';
import type { WalkFacts } from '../walks/facts.js';

/** An hour that happens twice on a date, and which one is taken. */
export interface DoubledHour {
  choices: { value: string; at: number; chosen: boolean }[];
}

export type OnDate =
  | { facts: WalkFacts; doubled: DoubledHour | null }
  /** The clocks go forward over this wall time on that date. */
  | { missing: 'gather' | 'setOff'; time: string };

type Wall = Pick<WalkFacts, 'date' | 'gather' | 'setOff' | 'zone'>;

/**
 * A walk as it is at another wall time: the clock on the wall is kept, the instants follow from the zone's rules on that date. Pure.
 * @param wall date YYYY-MM-DD, times HH:MM
 * @param offset minutes east of UTC, for an hour that happens twice; null, or one that it does not have: the first of the two
 */
export function atWall(facts: WalkFacts, wall: Wall, offset: number | null): OnDate {
  const both = ['gather', 'setOff'] as const;
  const first = both.map((field) => resolveWall(wall.date, wall[field], wall.zone, null));
  const asked = first.find((found) => 'ask' in found);
  const choices = asked && 'ask' in asked ? asked.ask : [];
  const chosen = choices.find((one) => one.offsetMinutes === offset) ?? choices[0] ?? null;
  const instants: number[] = [];
  for (const field of both) {
    const found = resolveWall(wall.date, wall[field], wall.zone, chosen?.offsetMinutes ?? null);
    if (!('at' in found)) return { missing: field, time: wall[field] };
    instants.push(found.at);
  }
  const [gatherAt = 0, setOffAt = 0] = instants;
  const doubledOffset = chosen?.offsetMinutes ?? null;
  return {
    facts: { ...facts, date: wall.date, gather: wall.gather, setOff: wall.setOff, zone: wall.zone, doubledOffset, gatherAt, setOffAt },
    doubled:
      chosen === null
        ? null
        : { choices: choices.map((one) => ({ value: offsetName(one.offsetMinutes), at: one.at, chosen: one === chosen })) },
  };
}
