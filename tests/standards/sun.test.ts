import { describe, expect, it } from 'vitest';
import { sun, sunUp } from '../../server/calc/sun.js';

const MINUTE_MS = 60_000;
const ATLANTA = [33.7667, -84.4167] as const;
const SAN_FRANCISCO = [37.7667, -122.4333] as const;
const WASHINGTON = [38.8894, -77.0353] as const;
const STOCKHOLM = [59.3294, 18.0687] as const;
const TROMSO = [69.6489, 18.9551] as const;

/** Minutes between an instant and a clock that keeps a fixed number of hours from UTC. */
function minutesOff(at: number | null, date: string, time: string, offsetHours: number): number {
  return at === null ? Number.NaN : Math.abs(at - (Date.parse(`${date}T${time}Z`) - offsetHours * 60 * MINUTE_MS)) / MINUTE_MS;
}

// Source: US Naval Observatory, tables of sunrise and sunset. They are in the standard time named, whole minutes; ours may be a minute off.
describe('sunrise and sunset in the tables of the US Naval Observatory', () => {
  it.each([
    ['Atlanta', ATLANTA, '2007-03-20', 'America/New_York', -5, '06:42', '18:49'],
    ['Atlanta', ATLANTA, '2007-06-21', 'America/New_York', -5, '05:27', '19:51'],
    ['Atlanta', ATLANTA, '2007-12-21', 'America/New_York', -5, '07:38', '17:33'],
    ['San Francisco', SAN_FRANCISCO, '2012-01-01', 'America/Los_Angeles', -8, '07:25', '17:01'],
    ['San Francisco', SAN_FRANCISCO, '2012-06-20', 'America/Los_Angeles', -8, '04:48', '19:35'],
    ['Washington', WASHINGTON, '2024-03-05', 'America/New_York', -5, '06:34', '18:06'],
    ['Stockholm', STOCKHOLM, '2026-12-21', 'Europe/Stockholm', 0, '07:43', '13:48'],
    ['Stockholm, asked in UTC', STOCKHOLM, '2026-12-21', 'UTC', 0, '07:43', '13:48'],
  ])('%s %j on %s', (_, [lat, lon], date, zone, offset, rise, set) => {
    const day = sun(lat, lon, date, zone);
    expect(minutesOff(day.rise, date, rise, offset)).toBeLessThanOrEqual(1);
    expect(minutesOff(day.set, date, set, offset)).toBeLessThanOrEqual(1);
  });
});

// The same source: civil twilight, the sun 6° below the horizon.
describe('civil dawn and dusk in the tables of the US Naval Observatory', () => {
  it.each([
    ['Washington', WASHINGTON, '2024-03-05', 'America/New_York', -5, '06:07', '18:32'],
    ['Stockholm', STOCKHOLM, '2026-12-21', 'Europe/Stockholm', 0, '06:48', '14:44'],
  ])('%s %j on %s', (_, [lat, lon], date, zone, offset, dawn, dusk) => {
    const day = sun(lat, lon, date, zone);
    expect(minutesOff(day.dawn, date, dawn, offset)).toBeLessThanOrEqual(1);
    expect(minutesOff(day.dusk, date, dusk, offset)).toBeLessThanOrEqual(1);
  });
});

// The same source: in Tromsø the sun is up all day.
describe('the polar day', () => {
  it('has neither rise nor set, dawn nor dusk, and the sun is up at every hour', () => {
    expect(sun(...TROMSO, '2026-06-21', 'Europe/Oslo')).toEqual({ dawn: null, rise: null, set: null, dusk: null });
    for (let hour = 0; hour < 24; hour++) expect(sunUp(...TROMSO, Date.UTC(2026, 5, 20, 22 + hour))).toBe(true);
  });
});
