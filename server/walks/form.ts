import { climbFromMetres, climbToMetres, fromMetres, toMetres, type Units } from '../calc/measure.js';
import { type Faults, figure, isDate, line, lines, several, type Typed, ticked } from '../web/forms.js';
import { SURFACES, type WalkFacts } from './facts.js';
import { checkCounted, readStops, type WayFacts } from './form-stops.js';
import { readTime } from './form-time.js';
import { missingToPost } from './to-post.js';

/** Less than this is a slip, not a walk. */
const LEAST_METRES = 100;
const MOST = { distanceMetres: 160_000, ascentMetres: 6_000, capacity: 500, explained: 300 } as const;
/** How many characters the long texts hold. */
export const TEXT_LIMITS = { directions: 8000, description: 4000, bring: 1000 } as const;

/** What the form's rules need to know beside what was typed. */
export interface WalkFormFacts {
  areas: { id: number; slug: string; zone: string }[];
  units: Units;
  now: number;
  /** Drafts may leave out what a posted walk must say. */
  intent: 'draft' | 'post';
  /** The facts before an edit: a walk whose time is untouched may lie in the past. */
  before: WalkFacts | null;
  /** When the posted walk that is edited sets off, ms; null for a new walk, and for a draft. */
  postedSetOffAt: number | null;
  /** The furthest stop that the walk's roll says something of; 0 where it says nothing of any. */
  countedStops: number;
  /** Places already confirmed: capacity can't go below. */
  confirmed: number;
  /** Under-18s signed up already, confirmed or waiting: the walk goes on taking them. */
  minorsSignedUp: number;
  /** The route the form carries, if it has one. */
  route: RouteFacts | null;
  /** Today where the group is at home, YYYY-MM-DD. */
  today: string;
}

/** What the form takes from a route. */
export type RouteFacts = WayFacts & { id: number; ascentMetres: number | null };

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
  const stops = readStops(typed, figures.distanceMetres, given, faults);
  checkCounted(stops.stops, given, faults);
  const explained = readExplained(typed, faults);
  if (Object.keys(faults).length > 0 || !area || !time?.instants) return { faults, offsets: time?.offsets ?? [] };
  return { facts: { areaId: area.id, ...text, ...figures, ...stops, explained, ...time.wall, ...time.instants } };
}

function readTexts(typed: Typed, given: WalkFormFacts, faults: Faults) {
  const text = (field: string, most: number, missing: string | null, read = line) => {
    const value = read(typed, field);
    if (value === '' && missing) faults[field] = missing;
    if (value.length > most)
      faults[field] = `Keep this under ${most.toLocaleString('en')} characters; it has ${value.length.toLocaleString('en')}.`;
    return value;
  };
  const place = { meetingPoint: line(typed, 'meetingPoint'), landmark: line(typed, 'landmark') };
  const toPost = given.intent === 'post' ? missingToPost(place) : {};
  return {
    routeName: text('routeName', 80, 'Give the route a name, such as "Quarry Lakes loop".'),
    locality: text('locality', 60, 'Say the nearest place people know.'),
    meetingPoint: text('meetingPoint', 120, toPost.meetingPoint ?? null),
    landmark: text('landmark', 200, toPost.landmark ?? null),
    theme: text('theme', 100, null),
    directions: text('directions', TEXT_LIMITS.directions, null, lines),
    description: text('description', TEXT_LIMITS.description, null, lines),
    bring: text('bring', TEXT_LIMITS.bring, null, lines),
    surfaces: SURFACES.filter((one) => several(typed, 'surface').includes(one)),
    stepFree: ticked(typed, 'stepFree'),
    dogs: ticked(typed, 'dogs'),
    minors: readMinors(typed, given, faults),
    seenOn: readSeenOn(typed, given, faults),
  };
}

function readMinors(typed: Typed, { minorsSignedUp }: WalkFormFacts, faults: Faults): boolean {
  const minors = ticked(typed, 'minors');
  if (!minors && minorsSignedUp > 0)
    faults.minors = `${minorsSignedUp === 1 ? 'Someone under 18 is' : `${minorsSignedUp} under-18s are`} signed up already. Ring whoever booked for them first: once they have withdrawn, this can be changed.`;
  return minors;
}

function readSeenOn(typed: Typed, given: WalkFormFacts, faults: Faults): string {
  const seenOn = line(typed, 'seenOn');
  if (seenOn !== '' && !isDate(seenOn)) faults.seenOn = 'That date does not exist. Type it as YYYY-MM-DD, or leave it empty.';
  else if (seenOn > given.today) faults.seenOn = 'That day is still to come. Type the day you last saw the route.';
  return seenOn;
}

/** Why the walk goes ahead all the same, by the walk check's key ("toilets", "dusk"). */
function readExplained(typed: Typed, faults: Faults): Record<string, string> {
  const given = typed.explain;
  if (typeof given !== 'object' || Array.isArray(given)) return {};
  const reasons = Object.keys(given)
    .filter((key) => /^[a-z]{1,20}$/.test(key))
    .map((key) => [key, line(given, key)] as const)
    .filter(([, reason]) => reason !== '');
  for (const [key, reason] of reasons)
    if (reason.length > MOST.explained)
      faults[`explain[${key}]`] = `Keep this under ${MOST.explained} characters; it has ${reason.length}.`;
  return Object.fromEntries(reasons);
}

function readFigures(typed: Typed, given: WalkFormFacts, faults: Faults) {
  const distanceMetres = readDistance(line(typed, 'distance'), given, faults);
  const ascentMetres = readAscent(line(typed, 'ascent'), given, faults);
  return { distanceMetres, ascentMetres, capacity: readCapacity(typed, given, faults), ...readPoint(typed, faults) };
}

/** Left empty, the route says it. */
function readDistance(text: string, { units, route }: WalkFormFacts, faults: Faults): number {
  const unit = units === 'mi' ? 'miles' : 'kilometres';
  const distance = figure(text);
  const metres = text === '' && route ? routeLength(route, units) : distance === null ? 0 : toMetres(distance, units);
  if (metres < LEAST_METRES) faults.distance = `Type the length in ${unit}, such as 8.2.`;
  else if (metres > MOST.distanceMetres)
    faults.distance = `That is over ${Math.floor(fromMetres(MOST.distanceMetres, units))} ${unit}. Check it.`;
  return metres;
}

/** A route's length as a walk has it: to a hundredth of the group's unit, metres. */
export function routeLength({ lengthMetres }: Pick<RouteFacts, 'lengthMetres'>, units: Units): number {
  return toMetres(Math.round(fromMetres(lengthMetres, units) * 100) / 100, units);
}

/** A route's climb as a walk has it: in whole feet or metres, as the form shows it; 0 where its heights are not known. */
export function routeClimb({ ascentMetres }: Pick<RouteFacts, 'ascentMetres'>, units: Units): number {
  return climbToMetres(climbFromMetres(ascentMetres ?? 0, units), units);
}

/** Left empty, the route says it, if it has heights, as the form will show it; 0 stands for "not said". */
function readAscent(text: string, { units, route }: WalkFormFacts, faults: Faults): number {
  if (text === '') return route ? routeClimb(route, units) : 0;
  const climb = figure(text);
  const metres = climb === null ? 0 : climbToMetres(climb, units);
  if (climb === null || climb < 0) faults.ascent = `Type the climb in ${units === 'mi' ? 'feet' : 'metres'}, or leave it empty.`;
  else if (metres > MOST.ascentMetres) faults.ascent = 'That is more climb than a day holds. Check it.';
  return metres;
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
