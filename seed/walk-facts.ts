import { climbToMetres, toMetres } from '../server/calc/measure.js';
import type { Profile } from '../server/calc/profile.js';
import { instants } from '../server/calc/zone.js';
import { SURFACES, type WalkFacts } from '../server/walks/facts.js';
import { effortOf } from '../server/walks/form-stops.js';
import type { Stop } from '../server/walks/stops.js';
import type { DemoArea } from './areas.js';
import type { Route } from './routes.js';

/** When people are asked to come, as the leader means it: YYYY-MM-DD and HH:MM in the area's zone. */
export interface WallTimes {
  date: string;
  gather: string;
  setOff: string;
}

/** A route's way, once it lies in the database. */
export interface LaidWay {
  id: number;
  lengthMetres: number;
  profile: Profile | null;
}

const MOST_MILES_FOR_MINORS = 9;

/** The facts of a walk on a route, with its way where that is laid. @throws where the clocks make the time missing or doubled: the region has no walks at night */
export function walkFacts(
  area: Pick<DemoArea, 'id' | 'zone'>,
  route: Route,
  { date, gather, setOff }: WallTimes,
  capacity: number,
  way: LaidWay | null = null,
): WalkFacts {
  const { point } = route;
  const effort = effortOf(way, toMetres(route.miles, 'mi'));
  return {
    areaId: area.id,
    routeName: route.name,
    locality: route.locality,
    date,
    gather,
    setOff,
    zone: area.zone,
    doubledOffset: null,
    gatherAt: onlyInstant(date, gather, area.zone),
    setOffAt: onlyInstant(date, setOff, area.zone),
    ...point,
    distanceMetres: toMetres(route.miles, 'mi'),
    routeId: way?.id ?? null,
    effortMetres: effort(toMetres(route.miles, 'mi')),
    stops: stopsOf(route, effort),
    ascentMetres: climbToMetres(route.feet, 'mi'),
    surfaces: SURFACES.filter((surface) => route.surfaces.includes(surface)),
    stepFree: route.stepFree ?? false,
    capacity,
    dogs: route.dogs ?? false,
    // A child can walk so far, with its guardian.
    minors: route.miles <= MOST_MILES_FOR_MINORS,
    theme: route.theme ?? '',
    directions: route.directions ?? '',
    description: route.description,
    bring: route.bring ?? 'Water, a snack, and shoes you have walked in before.',
    seenOn: '',
    explained: route.explained ?? {},
  };
}

function stopsOf(route: Route, effort: (metres: number) => number | null): Stop[] {
  return route.stops.map(({ mile, kinds, name, minutes, short }) => ({
    kinds,
    name,
    metres: toMetres(mile, 'mi'),
    effortMetres: effort(toMetres(mile, 'mi')),
    minutes,
    short: short ? { rejoins: toMetres(short.back ?? route.miles, 'mi'), length: toMetres(short.makes, 'mi') } : null,
  }));
}

function onlyInstant(date: string, time: string, zone: string): number {
  const [at, second] = instants(date, time, zone);
  if (at === undefined || second !== undefined) throw new Error(`${date} ${time} in ${zone} is not one instant`);
  return at;
}
