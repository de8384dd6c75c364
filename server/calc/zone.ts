import { DateTime, IANAZone } from 'luxon';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const ZONE_NAME = /^([A-Za-z_]+(\/[A-Za-z0-9_+-]+)+|UTC)$/;

/** What tells each zone's offset: a formatter is slow to make and quick to ask, quicker than Luxon's own reckoning. */
const clocks = new Map<string, Intl.DateTimeFormat>();

function clockOf(zone: string): Intl.DateTimeFormat | null {
  const known = clocks.get(zone);
  if (known) return known;
  if (!ZONE_NAME.test(zone) || !IANAZone.isValidZone(zone)) return null;
  const made = new Intl.DateTimeFormat('en-US', { timeZone: zone, timeZoneName: 'longOffset' });
  clocks.set(zone, made);
  return made;
}

/** Whether a name is one of the IANA list ("America/New_York", "UTC"); offsets and abbreviations are not. */
export function isZone(name: string): boolean {
  return clockOf(name) !== null;
}

/**
 * The instants (ms, ascending) that a wall time names in a zone: none where clocks go forward over it, two where they go back.
 * Worked out from the offsets around the day; Luxon's own choice for a missing or doubled time is never asked.
 * @param date YYYY-MM-DD @param time HH:MM
 * @throws RangeError for a date, time or zone that is none
 */
export function instants(date: string, time: string, zone: string): number[] {
  const wall = wallAsUtc(date, time);
  const offsets = new Set([-24, -12, 0, 12, 24].map((hours) => offsetMs(wall + hours * HOUR_MS, zone)));
  return [...offsets]
    .map((offset) => wall - offset)
    .filter((at) => at + offsetMs(at, zone) === wall)
    .sort((a, b) => a - b);
}

/** The instant at which a clock kept on UTC shows this wall time. */
function wallAsUtc(date: string, time: string): number {
  const shaped = /^\d{4}-\d{2}-\d{2}$/.test(date) && /^([01]\d|2[0-3]):[0-5]\d$/.test(time);
  const wall = DateTime.fromISO(`${date}T${time}`, { zone: 'utc' });
  if (!shaped || !wall.isValid) throw new RangeError(`no such wall time: ${date} ${time}`);
  return wall.toMillis();
}

/** Minutes east of UTC that a zone keeps at an instant (whole in every zone since 1972). @throws RangeError for a zone that is none */
export function offsetAt(instant: number, zone: string): number {
  return offsetMs(instant, zone) / MINUTE_MS;
}

function offsetMs(instant: number, zone: string): number {
  const clock = clockOf(zone);
  if (!clock) throw new RangeError(`no such zone: ${zone}`);
  const shown = /GMT(?:([+-])(\d\d):(\d\d)(?::(\d\d))?)?$/.exec(clock.format(instant));
  if (!shown) throw new Error(`no offset is shown for ${zone}`);
  const [, sign, hours = 0, minutes = 0, seconds = 0] = shown;
  const size = Number(hours) * HOUR_MS + Number(minutes) * MINUTE_MS + Number(seconds) * 1000;
  return sign === '-' ? -size : size;
}

/** "-04:00" */
export function offsetName(minutes: number): string {
  const size = Math.abs(minutes);
  return `${minutes < 0 ? '-' : '+'}${String(Math.floor(size / 60)).padStart(2, '0')}:${String(size % 60).padStart(2, '0')}`;
}

/** Minutes east of UTC from "-04:00", "+1030" or "-240"; null where it is none of these. */
export function parseOffset(text: string): number | null {
  const clock = /^([+-])(\d{2}):?([0-5]\d)$/.exec(text);
  if (clock) return (clock[1] === '-' ? -1 : 1) * (Number(clock[2]) * 60 + Number(clock[3]));
  return /^[+-]?\d{1,3}$/.test(text) ? Number(text) : null;
}

export type Resolved =
  | { at: number; doubled: boolean }
  /** Clocks go forward over this time; `before` is the instant of the change. */
  | { missing: true; before: number }
  /** The hour happens twice, and which one is not said. */
  | { ask: { at: number; offsetMinutes: number }[] };

/** The instant a leader means by a wall time, or why there is not just one. @param offset minutes east of UTC, chosen for a doubled hour */
export function resolveWall(date: string, time: string, zone: string, offset: number | null): Resolved {
  const found = instants(date, time, zone);
  const [first] = found;
  if (first === undefined) return { missing: true, before: changeAround(wallAsUtc(date, time), zone) };
  if (found.length === 1) return { at: first, doubled: false };
  const choices = found.map((at) => ({ at, offsetMinutes: offsetAt(at, zone) }));
  const chosen = choices.find((choice) => choice.offsetMinutes === offset);
  return chosen ? { at: chosen.at, doubled: true } : { ask: choices };
}

/** The instant within a day of `around` at which the zone's clocks change, to the minute. */
function changeAround(around: number, zone: string): number {
  let [low, high] = [around - 24 * HOUR_MS, around + 24 * HOUR_MS];
  const before = offsetAt(low, zone);
  while (high - low > MINUTE_MS) {
    const middle = low + Math.floor((high - low) / 2 / MINUTE_MS) * MINUTE_MS;
    if (offsetAt(middle, zone) === before) low = middle;
    else high = middle;
  }
  return high;
}

/** The wall date (YYYY-MM-DD) and time (HH:MM) at an instant. @throws RangeError for a zone that is none */
export function wallOf(instant: number, zone: string): { date: string; time: string } {
  const shifted = new Date(instant + offsetMs(instant, zone)).toISOString();
  return { date: shifted.slice(0, 10), time: shifted.slice(11, 16) };
}
