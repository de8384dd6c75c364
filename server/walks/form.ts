import { climbToMetres, fromMetres, toMetres, type Units } from '../calc/measure.js';
import { isZone, offsetName, parseOffset, resolveWall } from '../calc/zone.js';
import { type Faults, line, lines, several, type Typed, ticked } from '../web/forms.js';
import { SURFACES, type WalkFacts } from './facts.js';

/** Less than this is a slip, not a walk. */
const LEAST_METRES = 100;
const MOST = { distanceMetres: 160_000, ascentMetres: 6_000, capacity: 500, yearsAhead: 1 } as const;
const DAY_MS = 24 * 60 * 60 * 1000;

/** What the form's rules need to know beside what was typed. */
export interface WalkFormFacts {
  areas: { id: number; slug: string; zone: string }[];
  units: Units;
  now: number;
  /** Drafts may leave out what a posted walk must say. */
  intent: 'draft' | 'post';
  /** The facts before an edit: a walk whose time is untouched may lie in the past. */
  before: WalkFacts | null;
  /** Places already confirmed: capacity can't go below. */
  confirmed: number;
}

/** An hour that happens twice on the walk's day: which one is meant. */
export interface OffsetChoice {
  value: string;
  at: number;
}

export type ReadWalk = { facts: WalkFacts } | { faults: Faults; offsets: OffsetChoice[] };

/** Reads a posted walk form: the walk's facts, or a sentence for each field to mend. Pure. */
export function readWalk(typed: Typed, given: WalkFormFacts): ReadWalk {
  const faults: Faults = {};
  const area = given.areas.find((one) => one.slug === line(typed, 'area'));
  // In the order of the form, so that the summary reads as the page does.
  const time = readTime(typed, area?.zone ?? null, given, faults);
  if (!area) faults.area = 'Choose the area the walk is in.';
  const text = readTexts(typed, given, faults);
  const figures = readFigures(typed, given, faults);
  if (Object.keys(faults).length > 0 || !area || !time?.instants) return { faults, offsets: time?.offsets ?? [] };
  return { facts: { areaId: area.id, ...text, ...figures, ...time.wall, ...time.instants } };
}

function readTexts(typed: Typed, given: WalkFormFacts, faults: Faults) {
  const text = (field: string, most: number, missing: string | null, read = line) => {
    const value = read(typed, field);
    if (value === '' && missing) faults[field] = missing;
    if (value.length > most)
      faults[field] = `Keep this under ${most.toLocaleString('en')} characters; it has ${value.length.toLocaleString('en')}.`;
    return value;
  };
  const posting = given.intent === 'post';
  return {
    routeName: text('routeName', 80, 'Give the route a name, such as "Quarry Lakes loop".'),
    locality: text('locality', 60, 'Say the nearest place people know.'),
    meetingPoint: text('meetingPoint', 120, posting ? 'Say where people gather.' : null),
    landmark: text('landmark', 200, posting ? 'Name something exact to stand beside: "the green ticket machine".' : null),
    theme: text('theme', 100, null),
    directions: text('directions', 8000, null, lines),
    description: text('description', 4000, null, lines),
    bring: text('bring', 1000, null, lines),
    surfaces: SURFACES.filter((one) => several(typed, 'surface').includes(one)),
    stepFree: ticked(typed, 'stepFree'),
    dogs: ticked(typed, 'dogs'),
    minors: ticked(typed, 'minors'),
  };
}

function readFigures(typed: Typed, given: WalkFormFacts, faults: Faults) {
  const unit = given.units === 'mi' ? 'miles' : 'kilometres';
  const distance = figure(line(typed, 'distance'));
  const distanceMetres = distance === null ? 0 : toMetres(distance, given.units);
  if (distance === null || distanceMetres < LEAST_METRES) faults.distance = `Type the length in ${unit}, such as 8.2.`;
  else if (distanceMetres > MOST.distanceMetres)
    faults.distance = `That is over ${Math.floor(fromMetres(MOST.distanceMetres, given.units))} ${unit}. Check it.`;
  const climb = line(typed, 'ascent') === '' ? 0 : figure(line(typed, 'ascent'));
  const ascentMetres = climb === null ? 0 : climbToMetres(climb, given.units);
  if (climb === null || climb < 0) faults.ascent = `Type the climb in ${given.units === 'mi' ? 'feet' : 'metres'}, or leave it empty.`;
  else if (ascentMetres > MOST.ascentMetres) faults.ascent = 'That is more climb than a day holds. Check it.';
  return { distanceMetres, ascentMetres, capacity: readCapacity(typed, given, faults), ...readPoint(typed, faults) };
}

function readCapacity(typed: Typed, given: WalkFormFacts, faults: Faults): number {
  const typedCapacity = line(typed, 'capacity');
  const capacity = /^\d{1,4}$/.test(typedCapacity) ? Number(typedCapacity) : 0;
  if (capacity < 1 || capacity > MOST.capacity) faults.capacity = `Type how many people may come: 1 to ${MOST.capacity}.`;
  else if (capacity < given.confirmed)
    faults.capacity = `${given.confirmed} places are confirmed already. Nobody is moved out: type ${given.confirmed} or more.`;
  return capacity;
}

function readPoint(typed: Typed, faults: Faults): { lat: number | null; lon: number | null } {
  const [lat, lon] = [line(typed, 'lat'), line(typed, 'lon')];
  if (lat === '' && lon === '') return { lat: null, lon: null };
  const north = figure(lat);
  const east = figure(lon);
  if (north === null || Math.abs(north) > 90) faults.lat = 'Latitude is a number from -90 to 90, such as 41.3251.';
  if (east === null || Math.abs(east) > 180) faults.lon = 'Longitude is a number from -180 to 180, such as -74.1873.';
  return { lat: north, lon: east };
}

/**
 * A decimal number as people type it; null where it is none. A comma before just three digits ("1,200") divides thousands, since nobody
 * measures a walk to a thousandth; any other comma is a decimal one ("8,2").
 */
export function figure(text: string): number | null {
  if (/^\d{1,3}(,\d{3})+(\.\d{1,3})?$/.test(text)) return Number(text.replaceAll(',', ''));
  return /^-?\d{1,7}([.,]\d{1,8})?$/.test(text) ? Number(text.replace(',', '.')) : null;
}

interface ReadTime {
  wall: Pick<WalkFacts, 'date' | 'gather' | 'setOff' | 'zone' | 'doubledOffset'>;
  instants: Pick<WalkFacts, 'gatherAt' | 'setOffAt'> | null;
  offsets: OffsetChoice[];
}

function readTime(typed: Typed, areaZone: string | null, given: WalkFormFacts, faults: Faults): ReadTime | null {
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
  if (gatherAt <= given.now) faults.date = 'That is in the past. Check the date and the time.';
  if (gatherAt > given.now + (MOST.yearsAhead * 365 + 1) * DAY_MS) faults.date = 'That is more than a year ahead. Check the year.';
}

/** "HH:MM"; takes "8:45" and "08:45:00" too. Null where it is no time of day. */
function clockTime(text: string): string | null {
  const found = /^(\d{1,2}):(\d{2})(:00)?$/.exec(text);
  if (!found || Number(found[1]) > 23 || Number(found[2]) > 59) return null;
  return `${found[1]?.padStart(2, '0')}:${found[2]}`;
}

/** Whether a text is a date that the calendar has. */
export function isDate(text: string): boolean {
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text)) && new Date(text).toISOString().startsWith(text);
}
