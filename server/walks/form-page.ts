import { climbFigure, climbFromMetres, fromMetres, lengthWords, toMetres, type Units } from '../calc/measure.js';
import { offsetName } from '../calc/zone.js';
import type { Waypoint } from '../gpx/measured.js';
import type { StoredRoute } from '../gpx/store.js';
import type { GroupSettings } from '../settings/rules.js';
import { type Faults, line, lines, several, summary, type Typed, type TypedValue, ticked } from '../web/forms.js';
import { when } from '../web/when.js';
import { newWaypoints } from './asides.js';
import { SURFACES, type WalkFacts } from './facts.js';
import type { OffsetChoice } from './form.js';
import { stopLabel, stopRows } from './stop-rows.js';
import type { Stop } from './stops.js';

const LABELS: Record<string, string> = {
  area: 'Area',
  routeName: 'Name of the route',
  locality: 'Place',
  date: 'Date',
  gather: 'Gather at',
  setOff: 'Set off at',
  zone: 'Time zone',
  offset: 'Which hour',
  meetingPoint: 'Meeting point',
  landmark: 'Landmark',
  lat: 'Latitude',
  lon: 'Longitude',
  distance: 'Length',
  ascent: 'Climb',
  capacity: 'Places',
  minors: 'Under-18s',
  theme: 'Theme',
  directions: 'Directions',
  description: 'About the walk',
  bring: 'What to bring',
  gpx: 'Route file',
  seenOn: 'Route last seen',
  scope: 'The series',
};

/** The form's typed values, from facts: what a leader would have typed to get them. */
export function typedFrom(facts: WalkFacts, areaSlug: string, areaZone: string, units: Units): Typed {
  return {
    area: areaSlug,
    routeName: facts.routeName,
    locality: facts.locality,
    date: facts.date,
    gather: facts.gather,
    setOff: facts.setOff,
    zone: facts.zone === areaZone ? '' : facts.zone,
    offset: facts.doubledOffset === null ? '' : offsetName(facts.doubledOffset),
    meetingPoint: facts.meetingPoint,
    landmark: facts.landmark,
    lat: facts.lat === null ? '' : String(facts.lat),
    lon: facts.lon === null ? '' : String(facts.lon),
    distance: shortest(facts.distanceMetres, units),
    ascent: facts.ascentMetres === 0 ? '' : String(climbFromMetres(facts.ascentMetres, units)),
    surface: facts.surfaces,
    stepFree: facts.stepFree ? 'yes' : '',
    dogs: facts.dogs ? 'yes' : '',
    minors: facts.minors ? 'yes' : '',
    capacity: String(facts.capacity),
    theme: facts.theme,
    directions: facts.directions,
    description: facts.description,
    bring: facts.bring,
    seenOn: facts.seenOn,
    route: facts.routeId === null ? '' : String(facts.routeId),
    stops: facts.stops.map((stop) => typedStop(stop, facts.distanceMetres, units)),
    explain: { ...facts.explained },
  };
}

function typedStop(stop: Stop, distanceMetres: number, units: Units): Typed {
  return {
    kind: stop.kinds,
    name: stop.name,
    distance: shortest(stop.metres, units),
    minutes: stop.minutes === 0 ? '' : String(stop.minutes),
    // Left empty it is the finish, wherever that moves.
    rejoins: stop.short && stop.short.rejoins < distanceMetres ? shortest(stop.short.rejoins, units) : '',
    length: stop.short ? shortest(stop.short.length, units) : '',
  };
}

const MOST_DECIMALS = 4;

/** The shortest figure that gives the stored metres back: "8.2" stays "8.2", and an edit that leaves the length alone changes nothing. */
function shortest(metres: number, units: Units): string {
  const length = fromMetres(metres, units);
  for (let decimals = 0; decimals < MOST_DECIMALS; decimals += 1) {
    const figure = length.toFixed(decimals);
    if (toMetres(Number(figure), units) === metres) return figure;
  }
  return length.toFixed(MOST_DECIMALS);
}

interface FormAround {
  areas: { slug: string; name: string; zone: string }[];
  settings: GroupSettings;
  faults: Faults;
  offsets: OffsetChoice[];
  route: StoredRoute | null;
}

/** The walk form's model: every typed value back in its field, with a sentence beside each that needs mending. */
export function walkForm(typed: Typed, around: FormAround) {
  const { areas, settings, faults } = around;
  const zone = line(typed, 'zone') || areas.find((area) => area.slug === line(typed, 'area'))?.zone || 'UTC';
  const zones = [...new Set([...areas.map((area) => area.zone), ...(line(typed, 'zone') ? [line(typed, 'zone')] : [])])].sort();
  const chosenSurfaces = several(typed, 'surface');
  const text = [
    'routeName',
    'locality',
    'date',
    'gather',
    'setOff',
    'meetingPoint',
    'landmark',
    'lat',
    'lon',
    'distance',
    'ascent',
    'capacity',
    'theme',
    'seenOn',
  ];
  return {
    form: {
      ...Object.fromEntries(text.map((field) => [field, line(typed, field)])),
      directions: lines(typed, 'directions'),
      description: lines(typed, 'description'),
      bring: lines(typed, 'bring'),
      stepFree: ticked(typed, 'stepFree'),
      dogs: ticked(typed, 'dogs'),
      minors: ticked(typed, 'minors'),
    },
    faults,
    errors: summary(faults, (field) => LABELS[field] ?? stopLabel(field)),
    route: around.route ? routeRow(around.route, newWaypoints(typed, around.route, settings.units), settings) : null,
    mayStart: around.route !== null && line(typed, 'lat') === '' && line(typed, 'lon') === '',
    stops: stopRows(typed, faults),
    distanceUnit: settings.units === 'mi' ? 'miles' : 'km',
    gpxLabel: around.route ? 'Another route file in its place' : 'Route file, if you have one',
    hintStops: settings.units === 'mi' ? '3 to 5 miles' : '5 to 8 km',
    climbUnit: settings.units === 'mi' ? 'feet' : 'metres',
    areas: areas.map((area) => ({ value: area.slug, label: area.name, selected: area.slug === line(typed, 'area') })),
    zones: [
      { value: '', label: 'The one the area keeps', selected: line(typed, 'zone') === '' },
      ...zones.map((one) => ({ value: one, label: one.replaceAll('_', ' '), selected: one === line(typed, 'zone') })),
    ],
    offsets: around.offsets.map((choice) => {
      const shown = when(choice.at, zone, settings);
      return {
        value: choice.value,
        label: `${shown.clock} ${shown.zone} (UTC${choice.value})`,
        checked: choice.value === line(typed, 'offset'),
      };
    }),
    surfaces: SURFACES.map((surface) => ({ value: surface, label: surface, checked: chosenSurfaces.includes(surface) })),
  };
}

/** The route that the form carries, in a line. */
function routeRow(route: StoredRoute, waypoints: Waypoint[], { units, locale }: GroupSettings) {
  return {
    id: route.id,
    length: lengthWords(route.lengthMetres, units),
    climb: route.ascentMetres === null ? '' : climbFigure(route.ascentMetres, units, locale),
    shape: route.shape,
    waypoints: waypoints.map((place) => `${place.name || place.kinds.join(', ')} at ${lengthWords(place.metres, units)}`),
    turns: route.turns.length > 1,
  };
}

/** Every value posted, flat, for a page that has to post it again (the preview's Save). */
export function hiddenFields(typed: Typed): { name: string; value: string }[] {
  return Object.entries(typed).flatMap(([name, value]) => flat(name, value));
}

function flat(name: string, value: TypedValue): { name: string; value: string }[] {
  if (typeof value === 'string') return [{ name, value }];
  // A list of strings is a repeated field; a list of groups is a numbered one.
  if (Array.isArray(value)) return value.flatMap((one, index) => flat(typeof one === 'string' ? name : `${name}[${index}]`, one));
  return Object.entries(value ?? {}).flatMap(([key, one]) => flat(`${name}[${key}]`, one));
}
