import { isZone, offsetName, parseOffset, resolveWall } from '../calc/zone.js';
import { type Faults, isDate, line, type Typed } from '../web/forms.js';
import type { WalkFacts } from './facts.js';
import type { OffsetChoice, WalkFormFacts } from './form.js';

const DAY_MS = 24 * 60 * 60 * 1000;
/** A year, and the day that a leap year adds: nobody plans further. Common practice, no source. */
export const MOST_AHEAD_MS = 366 * DAY_MS;

interface ReadTime {
  wall: Pick<WalkFacts, 'date' | 'gather' | 'setOff' | 'zone' | 'doubledOffset'>;
  instants: Pick<WalkFacts, 'gatherAt' | 'setOffAt'> | null;
  offsets: OffsetChoice[];
}

/** When people gather and set off, with the instants; null where the wall times can't be read, instants null where the clocks make them unclear. */
export function readTime(typed: Typed, areaZone: string | null, given: WalkFormFacts, faults: Faults): ReadTime | null {
  const wall = readWall(typed, areaZone, faults);
  if (!wall) return null;
  const chosen = line(typed, 'offset') === '' ? null : parseOffset(line(typed, 'offset'));
  const gather = atWall(wall, 'gather', chosen, faults);
  const setOff = atWall(wall, 'setOff', chosen, faults);
  const offsets = gather.choices ?? setOff.choices ?? [];
  if (gather.at === null || setOff.at === null) {
    if (offsets.length > 0) faults.offset = 'The clocks go back that night, so this hour happens twice. Choose which one you mean.';
  }
  if (gather.at === null || setOff.at === null) return { wall: { ...wall, doubledOffset: null }, instants: null, offsets };
  checkOrder(wall, gather.at, setOff.at, given, faults);
  const doubledOffset = gather.doubled || setOff.doubled ? chosen : null;
  return { wall: { ...wall, doubledOffset }, instants: { gatherAt: gather.at, setOffAt: setOff.at }, offsets };
}

function readWall(typed: Typed, areaZone: string | null, faults: Faults) {
  const [date, gather, setOff] = [line(typed, 'date'), clockTime(line(typed, 'gather')), clockTime(line(typed, 'setOff'))];
  const zone = line(typed, 'zone') || areaZone || '';
  if (!isDate(date)) faults.date = date === '' ? 'Choose the date.' : 'That date does not exist. Type it as YYYY-MM-DD.';
  if (!gather) faults.gather = 'Type when people should arrive, such as 08:45.';
  if (!setOff) faults.setOff = 'Type when the group starts walking, such as 09:00.';
  if (zone !== '' && !isZone(zone)) faults.zone = 'That time zone is not known. Use a name such as America/New_York.';
  return isDate(date) && gather && setOff && isZone(zone) ? { date, gather, setOff, zone } : null;
}

function atWall(
  wall: { date: string; gather: string; setOff: string; zone: string },
  field: 'gather' | 'setOff',
  chosen: number | null,
  faults: Faults,
) {
  const found = resolveWall(wall.date, wall[field], wall.zone, chosen);
  if ('missing' in found) {
    faults[field] = 'The clocks go forward that night, over this time: it does not happen on that date. Choose an earlier or a later one.';
    return { at: null, doubled: false, choices: null };
  }
  if ('ask' in found) return { at: null, doubled: true, choices: found.ask.map(asChoice) };
  return { at: found.at, doubled: found.doubled, choices: found.doubled ? bothHours(wall, field) : null };
}

/** The two instants of an hour that happens twice, once one is chosen: the form goes on showing both. */
function bothHours(wall: { date: string; gather: string; setOff: string; zone: string }, field: 'gather' | 'setOff'): OffsetChoice[] {
  const found = resolveWall(wall.date, wall[field], wall.zone, null);
  return 'ask' in found ? found.ask.map(asChoice) : [];
}

function asChoice(one: { at: number; offsetMinutes: number }): OffsetChoice {
  return { value: offsetName(one.offsetMinutes), at: one.at };
}

function checkOrder(
  wall: { date: string; gather: string; setOff: string },
  gatherAt: number,
  setOffAt: number,
  given: WalkFormFacts,
  faults: Faults,
): void {
  if (setOffAt < gatherAt) faults.setOff = 'The group sets off before people gather. Both are on the same day.';
  const { before } = given;
  const sameTime = before?.date === wall.date && before.gatherAt === gatherAt && before.setOffAt === setOffAt;
  if (sameTime) return;
  if (given.postedSetOffAt !== null && given.postedSetOffAt <= given.now) {
    // Whoever walked, and what was promised of that month, stays with the date.
    faults.date = 'This walk has set off. Copy it to another date instead.';
    return;
  }
  if (gatherAt <= given.now) faults.date = 'That is in the past. Check the date and the time.';
  if (gatherAt > given.now + MOST_AHEAD_MS) faults.date = 'That is more than a year ahead. Check the year.';
}

/** "HH:MM"; takes "8:45" and "08:45:00" too. Null where it is no time of day. */
function clockTime(text: string): string | null {
  const found = /^(\d{1,2}):(\d{2})(:00)?$/.exec(text);
  if (!found || Number(found[1]) > 23 || Number(found[2]) > 59) return null;
  return `${found[1]?.padStart(2, '0')}:${found[2]}`;
}
