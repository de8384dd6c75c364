import { fromMetres, toMetres, type Units } from '../calc/measure.js';
import { effortAt, type Profile } from '../calc/profile.js';
import { type Faults, figure, groups, line, several, type Typed } from '../web/forms.js';
import type { WalkFacts } from './facts.js';
import type { WalkFormFacts } from './form.js';
import { STOP_KINDS, type Stop, type StopKind } from './stops.js';

/** How the form names a stop from which a short way leaves. */
export const SHORT_OPTION = 'short option';

const MOST = { stops: 30, shortWays: 6, name: 80, minutes: 240 } as const;

/** What placing a stop needs of a route. */
export interface WayFacts {
  lengthMetres: number;
  profile: Profile | null;
}

/**
 * The stops of a posted form (`stops[i][kind|name|distance|minutes]`, and for a short way `rejoins` and `length`), in their order along
 * the walk, and how long the way takes, as flat metres. Rows left empty are no stops.
 */
export function readStops(
  typed: Typed,
  distanceMetres: number,
  given: Pick<WalkFormFacts, 'units' | 'route'>,
  faults: Faults,
): Pick<WalkFacts, 'stops' | 'effortMetres' | 'routeId'> {
  const rows = groups(typed, 'stops');
  if (rows.filter((row) => !isBlank(row)).length > MOST.stops) faults['stops[0][name]'] = `A walk may have ${MOST.stops} stops at most.`;
  const effort = effortOf(given.route, distanceMetres);
  const stops = rows.flatMap((row, index) =>
    isBlank(row) ? [] : [readStop(row, index, { distanceMetres, units: given.units, effort }, faults)],
  );
  if (stops.filter((stop) => stop.short).length > MOST.shortWays)
    faults['stops[0][name]'] = `A walk may have ${MOST.shortWays} short ways at most.`;
  return {
    stops: stops.sort((a, b) => a.metres - b.metres),
    effortMetres: effort(distanceMetres),
    routeId: given.route?.id ?? null,
  };
}

/** A roll knows stops by their number: one that people were counted at, or one before it, that moves would say that they were seen elsewhere. */
export function checkCounted(
  stops: readonly Stop[],
  { before, countedStops }: Pick<WalkFormFacts, 'before' | 'countedStops'>,
  faults: Faults,
): void {
  const counted = before?.stops.slice(0, countedStops) ?? [];
  const moved = counted.findIndex((stop, index) => stops[index]?.metres !== stop.metres);
  if (moved >= 0)
    faults[`stops[${moved}][distance]`] ??=
      'The roll counts people here: leave this stop and those before it where they are until the walk is closed.';
}

/** Whether nothing was typed or ticked in a stop's row. */
export function isBlank(row: Typed): boolean {
  return (
    several(row, 'kind').length === 0 && ['name', 'distance', 'minutes', 'rejoins', 'length'].every((field) => line(row, field) === '')
  );
}

interface OnWalk {
  distanceMetres: number;
  units: Units;
  effort: (metres: number) => number | null;
}

/** Flat metres to a point of the walk, to a tenth. The route is stretched to the length the leader typed. */
export function effortOf(route: WayFacts | null, distanceMetres: number): OnWalk['effort'] {
  const profile = route?.profile ?? null;
  if (!route || !profile || distanceMetres <= 0) return () => null;
  const stretch = route.lengthMetres / distanceMetres;
  return (metres) => Math.round((effortAt(profile, metres * stretch) / stretch) * 10) / 10;
}

function readStop(row: Typed, index: number, walk: OnWalk, faults: Faults): Stop {
  const field = (name: string) => `stops[${index}][${name}]`;
  const ticked = several(row, 'kind').map((kind) => kind.trim().toLowerCase().replaceAll(/[-_]/g, ' '));
  const kinds = STOP_KINDS.filter((kind) => ticked.includes(kind));
  const isShort = ticked.includes(SHORT_OPTION) || line(row, 'length') !== '' || line(row, 'rejoins') !== '';
  if (kinds.length === 0 && !isShort) faults[field('kind')] = 'Tick what there is here.';
  const name = line(row, 'name');
  if (name.length > MOST.name) faults[field('name')] = `Keep this under ${MOST.name} characters; it has ${name.length}.`;
  const metres = along(line(row, 'distance'), field('distance'), walk, faults);
  return {
    kinds: kinds as StopKind[],
    name,
    metres,
    effortMetres: walk.effort(metres),
    minutes: minutesOf(line(row, 'minutes'), field('minutes'), faults),
    short: isShort ? readShort(row, metres, field, walk, faults) : null,
  };
}

/** Metres along the walk; a sentence where it is none, or beyond the finish. */
function along(text: string, field: string, { distanceMetres, units }: OnWalk, faults: Faults): number {
  const distance = figure(text);
  const metres = distance === null ? 0 : toMetres(distance, units);
  if (distance === null || distance < 0)
    faults[field] = `Type how far along the walk, in ${units === 'mi' ? 'miles' : 'kilometres'}, such as 2.4.`;
  // Half a per cent is how far the walk's own figure may be rounded.
  else if (distanceMetres > 0 && metres > distanceMetres * 1.005)
    faults[field] = `The walk is ${fromMetres(distanceMetres, units).toFixed(1)} ${units} long: this lies beyond its end.`;
  return distanceMetres > 0 ? Math.min(metres, distanceMetres) : metres;
}

function minutesOf(text: string, field: string, faults: Faults): number {
  if (text === '') return 0;
  const minutes = /^\d{1,3}$/.test(text) ? Number(text) : Number.NaN;
  if (minutes <= MOST.minutes) return minutes;
  faults[field] = `Type how many minutes the group stays: 0 to ${MOST.minutes}.`;
  return 0;
}

function readShort(row: Typed, leaves: number, field: (name: string) => string, walk: OnWalk, faults: Faults): NonNullable<Stop['short']> {
  const typedRejoins = line(row, 'rejoins');
  const rejoins = typedRejoins === '' ? walk.distanceMetres : along(typedRejoins, field('rejoins'), walk, faults);
  if (typedRejoins !== '' && rejoins <= leaves)
    faults[field('rejoins')] ??= 'It comes back to the way after it leaves it: type where, or leave this empty for the finish.';
  const length = figure(line(row, 'length'));
  const metres = length === null ? 0 : toMetres(length, walk.units);
  if (length === null) faults[field('length')] = 'Type how long the whole walk is for those who take this way.';
  else if (metres < leaves)
    faults[field('length')] = 'That is shorter than the way to this stop. Type how long the whole walk is by the short way.';
  return { rejoins, length: metres };
}
