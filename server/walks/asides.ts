import { fromMetres, toMetres, type Units } from '../calc/measure.js';
import type { Waypoint } from '../gpx/measured.js';
import type { StoredRoute } from '../gpx/store.js';
import { figure, groups, line, lines, type Typed } from '../web/forms.js';
import { isBlank } from './form-stops.js';
import { turnWords } from './turn-words.js';

/** A named place this close to a stop is that stop. */
const SAME_PLACE_METRES = 100;

type Aside = (typed: Typed, route: StoredRoute | null, units: Units) => Typed;

/** What the buttons within the form do to what was typed, by the button's value. None of them saves. */
const ASIDES: Record<string, Aside> = {
  check: (typed) => typed,
  change: (typed) => typed,
  // Ticked notes are put in whatever the form is sent for (posted-form.ts).
  notes: (typed) => typed,
  start: (typed, route) => ({ ...typed, ...startOf(route) }),
  stop: (typed) => ({ ...typed, stops: [...groups(typed, 'stops'), {}] }),
  waypoints: (typed, route, units) => ({ ...typed, stops: withWaypoints(typed, route, units) }),
  turns: (typed, route, units) => ({
    ...typed,
    directions: [lines(typed, 'directions'), turnWords(route?.turns ?? [], units)].filter((part) => part !== '').join('\n'),
  }),
};

/** What was typed, changed as a button within the form asks; null where it was one that saves or previews. */
export function aside(intent: string, typed: Typed, route: StoredRoute | null, units: Units): Typed | null {
  const does = Object.hasOwn(ASIDES, intent) ? ASIDES[intent] : undefined;
  return does ? does(typed, route, units) : null;
}

/** Where a route starts, as the map point's fields have it: five decimals are about a metre. */
function startOf(route: StoredRoute | null): Typed {
  const start = route?.line[0]?.[0];
  return start ? { lat: start[0].toFixed(5), lon: start[1].toFixed(5) } : {};
}

/** The stops typed, and the file's places that are not among them, in their order along the way. */
function withWaypoints(form: Typed, route: StoredRoute | null, units: Units): Typed[] {
  const typed = groups(form, 'stops').filter((stop) => !isBlank(stop));
  const added = newWaypoints(form, route, units).map(
    (place): Typed => ({
      kind: place.kinds,
      name: place.name,
      distance: fromMetres(place.metres, units).toFixed(2),
      minutes: '',
    }),
  );
  return [...typed, ...added].sort((a, b) => metresOf(a, units) - metresOf(b, units));
}

function metresOf(stop: Typed, units: Units): number {
  return toMetres(figure(line(stop, 'distance')) ?? Number.POSITIVE_INFINITY, units);
}

/** The file's places that are not among the stops typed, metres along the walk. */
export function newWaypoints(form: Typed, route: StoredRoute | null, units: Units): Waypoint[] {
  if (!route) return [];
  const typed = groups(form, 'stops').map((stop) => metresOf(stop, units));
  return route.waypoints
    .map((place) => ({ ...place, metres: place.metres * stretch(form, route, units) }))
    .filter((place) => typed.every((metres) => Math.abs(metres - place.metres) > SAME_PLACE_METRES));
}

/** The route is stretched to the length that was typed, as everywhere else. */
function stretch(form: Typed, { lengthMetres }: StoredRoute, units: Units): number {
  const length = figure(line(form, 'distance'));
  return length === null || length <= 0 ? 1 : toMetres(length, units) / lengthMetres;
}
