import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { addDays } from '../../server/calc/month.js';
import { instants, isZone, offsetAt, offsetName, parseOffset, resolveWall, wallOf } from '../../server/calc/zone.js';

const NEW_YORK = 'America/New_York';

describe('a zone', () => {
  it.each(['America/New_York', 'America/Argentina/Ushuaia', 'America/Port-au-Prince', 'Etc/GMT+5', 'UTC'])('%s is one', (name) => {
    expect(isZone(name)).toBe(true);
  });

  it.each(['', 'EST', 'EST5EDT', 'UTC+3', '+03:00', 'Nowhere/Town', 'America/New York', ' America/New_York', 'America/New_York\n'])(
    '%j is none, and asking its time is refused',
    (name) => {
      expect(isZone(name)).toBe(false);
      expect(() => instants('2026-11-28', '08:45', name)).toThrow(RangeError);
      expect(() => offsetAt(0, name)).toThrow(RangeError);
      expect(() => wallOf(0, name)).toThrow(RangeError);
    },
  );
});

describe('a wall time', () => {
  it('in a zone names its instant', () => {
    expect(instants('2026-11-28', '08:45', NEW_YORK)).toEqual([Date.UTC(2026, 10, 28, 13, 45)]);
    expect(resolveWall('2026-11-28', '08:45', NEW_YORK, null)).toEqual({ at: Date.UTC(2026, 10, 28, 13, 45), doubled: false });
  });

  it('that happens once takes no notice of an offset that was typed', () => {
    expect(resolveWall('2026-11-28', '08:45', NEW_YORK, -240)).toEqual({ at: Date.UTC(2026, 10, 28, 13, 45), doubled: false });
  });

  it.each([
    ['2026-02-29', '08:45'],
    ['2026-13-01', '08:45'],
    ['2026-1-05', '08:45'],
    ['28/11/2026', '08:45'],
    ['2026-11-28', '24:00'],
    ['2026-11-28', '23:60'],
    ['2026-11-28', '8:45'],
    ['2026-11-28', '08:45:00'],
    ['2026-11-28', '08:45Z'],
    ['', ''],
  ])('%j %j is none', (date, time) => {
    expect(() => instants(date, time, NEW_YORK)).toThrow(RangeError);
  });

  // Samoa went over the date line: 30 December 2011 was left out (IANA time zone database; from memory).
  it('on a day that was left out does not exist, to its last minute', () => {
    const change = Date.UTC(2011, 11, 30, 10);
    expect(instants('2011-12-29', '23:59', 'Pacific/Apia')).toEqual([change - 60_000]);
    for (const time of ['00:00', '12:00', '23:59'])
      expect(resolveWall('2011-12-30', time, 'Pacific/Apia', null)).toEqual({ missing: true, before: change });
    expect(instants('2011-12-31', '00:00', 'Pacific/Apia')).toEqual([change]);
  });

  const zones = ['UTC', ...Intl.supportedValuesOf('timeZone').filter(isZone)];
  const minutes = fc.integer({ min: Date.UTC(1975, 0) / 60_000, max: Date.UTC(2060, 0) / 60_000 }).map((minute) => minute * 60_000);

  it('shown at an instant names that instant, whatever the zone', () => {
    fc.assert(
      fc.property(fc.constantFrom(...zones), minutes, (zone, instant) => {
        const { date, time } = wallOf(instant, zone);
        expect(instants(date, time, zone)).toContain(instant);
      }),
      { numRuns: 2000 },
    );
  });

  // Days around the changes of 2026 in these zones.
  const days = ['02-15', '03-08', '03-22', '03-29', '04-05', '10-04', '10-25', '11-01'].flatMap((day) =>
    [-1, 0, 1].map((more) => addDays(`2026-${day}`, more)),
  );
  const times = Array.from({ length: 48 }, (_, half) => `${String(half >> 1).padStart(2, '0')}:${half % 2 ? '30' : '00'}`);

  it.each(['America/New_York', 'America/Chicago', 'Europe/London', 'Australia/Lord_Howe', 'America/Phoenix', 'Africa/Casablanca'])(
    "in %s names the same instants as Luxon's getPossibleOffsets",
    (zone) => {
      const wall = days.flatMap((date) => times.map((time) => ({ date, time })));
      expect(wall.map(({ date, time }) => [date, time, ...instants(date, time, zone)])).toEqual(
        wall.map(({ date, time }) => [date, time, ...luxonInstants(date, time, zone)]),
      );
    },
  );
});

/** What Luxon finds, without the time it makes up for one that is missing. */
function luxonInstants(date: string, time: string, zone: string): number[] {
  const possible = DateTime.fromISO(`${date}T${time}`, { zone }).getPossibleOffsets();
  return possible.filter((one) => one.toFormat('HH:mm') === time).map((one) => one.toMillis());
}

describe('an offset', () => {
  it.each([
    [-240, '-04:00'],
    [0, '+00:00'],
    [630, '+10:30'],
    [-210, '-03:30'],
    [-30, '-00:30'],
  ])('%i is written %s, and read back', (minutes, text) => {
    expect(offsetName(minutes)).toBe(text);
    expect(parseOffset(text)).toBe(minutes);
  });

  it.each([
    ['+1030', 630],
    ['-0400', -240],
    ['-240', -240],
    ['60', 60],
    ['0', 0],
  ])('%s is read as %i', (text, minutes) => {
    expect(parseOffset(text)).toBe(minutes);
  });

  it.each(['', 'EST', '-4:00', '-04:60', '+0460', '4.5', '--240', ' -240', '2400'])('%j is none', (text) => {
    expect(parseOffset(text)).toBeNull();
  });
});
