import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addDays } from '../../server/calc/month.js';
import { type Sun, sun, sunUp } from '../../server/calc/sun.js';
import { wallOf } from '../../server/calc/zone.js';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;

const anyDate = fc.integer({ min: 0, max: 365 * 60 }).map((days) => addDays('2000-01-01', days));
const anyLon = fc.double({ min: -180, max: 180, noNaN: true });
const temperate = fc.double({ min: -58, max: 58, noNaN: true });
const anyLat = fc.double({ min: -90, max: 90, noNaN: true });

/** The zone whose clock is the nearest to the sun's at a longitude; the names count hours west. */
function nauticalZone(lon: number): string {
  const hours = Math.round(lon / 15);
  return hours === 0 ? 'UTC' : `Etc/GMT${hours > 0 ? '-' : '+'}${Math.abs(hours)}`;
}

/** The times of a day that there are, in the order they should come in. */
function inOrder({ dawn, rise, set, dusk }: Sun): number[] {
  return [dawn, rise, set, dusk].filter((at) => at !== null);
}

function ascends(times: number[]): boolean {
  return times.every((at, index) => index === 0 || at > (times[index - 1] ?? at));
}

describe('a day of the sun', () => {
  it('falls on the date asked, where the clock is near the sun’s', () => {
    fc.assert(
      fc.property(temperate, anyLon, anyDate, (lat, lon, date) => {
        const zone = nauticalZone(lon);
        const { rise, set } = sun(lat, lon, date, zone);
        for (const at of [rise, set]) expect(at === null || wallOf(at, zone).date === date).toBe(true);
        expect(rise === null || set === null).toBe(false);
      }),
      { numRuns: 300 },
    );
  });

  it('has dawn, rise, set and dusk in this order at any place, in any zone', () => {
    const zones = fc.constantFrom('UTC', 'Pacific/Kiritimati', 'Pacific/Pago_Pago', 'America/New_York', 'Asia/Kolkata');
    fc.assert(
      fc.property(anyLat, anyLon, anyDate, zones, (lat, lon, date, zone) => {
        const day = sun(lat, lon, date, zone);
        const times = inOrder(day);
        expect(ascends(times)).toBe(true);
        expect((times.at(-1) ?? 0) - (times[0] ?? 0)).toBeLessThanOrEqual(DAY_MS);
        const middle = Date.parse(`${date}T12:00Z`);
        for (const at of times) expect(Math.abs(at - middle)).toBeLessThan(2 * DAY_MS);
      }),
      { numRuns: 300 },
    );
  });

  it('is the day whose noon is nearest to 12:00 in the zone, on either side of the date line', () => {
    for (const [lon, zone] of [
      [-157.4, 'Pacific/Kiritimati'],
      [-170.7, 'Pacific/Pago_Pago'],
      [174.8, 'Pacific/Auckland'],
    ] as const) {
      const { rise, set } = sun(-5, lon, '2026-03-20', zone);
      expect(wallOf(rise ?? 0, zone).date).toBe('2026-03-20');
      expect(wallOf(set ?? 0, zone).date).toBe('2026-03-20');
    }
  });

  it('keeps to the date on the days that clocks change, and on a date that a zone left out is the day around it', () => {
    for (const date of ['2026-03-08', '2026-11-01'])
      expect(wallOf(sun(41, -81, date, 'America/New_York').rise ?? 0, 'America/New_York').date).toBe(date);
    const leftOut = inOrder(sun(-13.8, -171.8, '2011-12-30', 'Pacific/Apia'));
    expect(leftOut).toHaveLength(4);
    for (const at of leftOut) expect(Math.abs(at - Date.parse('2011-12-30T12:00Z'))).toBeLessThan(DAY_MS);
  });

  it('ends after midnight where the sun sets then', () => {
    const { rise, set, dusk } = sun(64.15, -21.94, '2026-06-21', 'Atlantic/Reykjavik');
    expect(wallOf(set ?? 0, 'Atlantic/Reykjavik').date).toBe('2026-06-22');
    expect(wallOf(rise ?? 0, 'Atlantic/Reykjavik').date).toBe('2026-06-21');
    expect(dusk).toBeNull();
  });

  it('has twilight without a sunrise in the polar night', () => {
    const day = sun(69.65, 18.96, '2026-12-21', 'Europe/Oslo');
    expect(day).toMatchObject({ rise: null, set: null });
    expect(inOrder(day)).toHaveLength(2);
    expect(inOrder(sun(85, 0, '2026-12-21', 'UTC'))).toEqual([]);
  });

  it('of a date or zone that is none is refused', () => {
    expect(() => sun(41, -81, '2026-02-30', 'UTC')).toThrow(RangeError);
    expect(() => sun(41, -81, '2026-02-28', 'Nowhere/Town')).toThrow(RangeError);
  });
});

describe('whether the sun is up', () => {
  it('changes at rise and set, at any place, even where it only grazes the horizon', () => {
    fc.assert(
      fc.property(anyLat, anyLon, anyDate, (lat, lon, date) => {
        const { rise, set } = sun(lat, lon, date, nauticalZone(lon));
        if (rise !== null && set !== null && set - rise > 2 * MINUTE_MS && set - rise < DAY_MS - 2 * MINUTE_MS) {
          expect(sunUp(lat, lon, rise - MINUTE_MS)).toBe(false);
          expect(sunUp(lat, lon, rise + MINUTE_MS)).toBe(true);
          expect(sunUp(lat, lon, set - MINUTE_MS)).toBe(true);
          expect(sunUp(lat, lon, set + MINUTE_MS)).toBe(false);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('tells the polar day from the polar night', () => {
    expect(sunUp(75, 20, Date.UTC(2026, 5, 21))).toBe(true);
    expect(sunUp(75, 20, Date.UTC(2026, 11, 21, 11))).toBe(false);
  });
});
