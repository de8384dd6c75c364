import { describe, expect, it } from 'vitest';
import { instants, offsetAt, resolveWall, wallOf } from '../../server/calc/zone.js';

const MINUTE_MS = 60_000;
const at = (text: string) => Date.parse(`${text}:00Z`);
const named = (instant: number, zone: string) => {
  const { date, time } = wallOf(instant, zone);
  return instants(date, time, zone);
};
/** The wall time that a clock at a fixed offset shows. */
const wall = (instant: number, offsetMinutes: number) => {
  const shown = new Date(instant + offsetMinutes * MINUTE_MS).toISOString();
  return [shown.slice(0, 10), shown.slice(11, 16)] as const;
};

// Source: IANA time zone database, instants (UTC) at which clocks change; read with the check values, offsets in minutes east of UTC.
const FORWARD = [
  ['America/New_York', '2026-03-08T07:00', -300, -240],
  ['America/New_York', '2027-03-14T07:00', -300, -240],
  ['America/Chicago', '2026-03-08T08:00', -360, -300],
  ['America/Chicago', '2027-03-14T08:00', -360, -300],
  ['Europe/London', '2026-03-29T01:00', 0, 60],
  ['Australia/Lord_Howe', '2026-10-03T15:30', 630, 660],
] as const;
const BACK = [
  ['America/New_York', '2026-11-01T06:00', -240, -300],
  ['America/New_York', '2027-11-07T06:00', -240, -300],
  ['America/Chicago', '2026-11-01T07:00', -300, -360],
  ['America/Chicago', '2027-11-07T07:00', -300, -360],
  ['Europe/London', '2026-10-25T01:00', 60, 0],
  ['Australia/Lord_Howe', '2026-04-04T15:00', 660, 630],
] as const;

describe('clock changes of the IANA database', () => {
  it.each([...FORWARD, ...BACK])('%s changes at %s: the last instant keeps %i, the first has %i', (zone, change, before, after) => {
    expect(offsetAt(at(change) - 1, zone)).toBe(before);
    expect(offsetAt(at(change), zone)).toBe(after);
  });

  it.each(FORWARD)('%s, %s: no instant from the first missing minute to the last, one at each side', (zone, change, before, after) => {
    const [instant, gap] = [at(change), after - before];
    expect(named(instant - MINUTE_MS, zone)).toEqual([instant - MINUTE_MS]);
    expect(instants(...wall(instant, before), zone)).toEqual([]);
    expect(instants(...wall(instant + (gap - 1) * MINUTE_MS, before), zone)).toEqual([]);
    expect(instants(...wall(instant, after), zone)).toEqual([instant]);
    expect(resolveWall(...wall(instant, before), zone, null)).toEqual({ missing: true, before: instant });
    expect(resolveWall(...wall(instant + (gap - 1) * MINUTE_MS, before), zone, after)).toEqual({ missing: true, before: instant });
  });

  it.each(BACK)('%s, %s: two instants from the first doubled minute to the last, one at each side', (zone, change, before, after) => {
    const [instant, size] = [at(change), (before - after) * MINUTE_MS];
    const [first, last] = [instant, instant + size - MINUTE_MS];
    expect(named(first - size - MINUTE_MS, zone)).toEqual([first - size - MINUTE_MS]);
    expect(named(first, zone)).toEqual([first - size, first]);
    expect(named(last, zone)).toEqual([last - size, last]);
    expect(named(last + MINUTE_MS, zone)).toEqual([last + MINUTE_MS]);
  });

  it.each(BACK)('%s, %s: which of a doubled time is asked for, and its offset answers', (zone, change, before, after) => {
    const [instant, size] = [at(change), (before - after) * MINUTE_MS];
    const time = wall(instant, after);
    const choices = [
      { at: instant - size, offsetMinutes: before },
      { at: instant, offsetMinutes: after },
    ];
    expect(resolveWall(...time, zone, null)).toEqual({ ask: choices });
    expect(resolveWall(...time, zone, after - 1)).toEqual({ ask: choices });
    expect(resolveWall(...time, zone, before)).toEqual({ at: instant - size, doubled: true });
    expect(resolveWall(...time, zone, after)).toEqual({ at: instant, doubled: true });
  });

  it('Phoenix never changes: each time on the nights when others do names one instant', () => {
    for (const [, change] of [...FORWARD, ...BACK]) {
      for (let minute = -180; minute <= 180; minute += 15) {
        const instant = at(change) + minute * MINUTE_MS;
        expect(offsetAt(instant, 'America/Phoenix')).toBe(-420);
        expect(named(instant, 'America/Phoenix')).toEqual([instant]);
      }
    }
  });

  // The case where Luxon 3.7 moves the time to 03:30 in silence (read with the check values).
  it('New York, 2026-03-08 02:30 does not exist', () => {
    expect(instants('2026-03-08', '02:30', 'America/New_York')).toEqual([]);
  });
});
