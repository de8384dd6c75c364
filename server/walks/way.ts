import type { Tx } from '../db/open.js';
import { routeById } from '../gpx/store.js';
import type { GroupSettings } from '../settings/rules.js';
import { routeMap } from '../strip/map.js';
import { routeStrip } from '../strip/strip.js';
import type { WalkRow } from './ledby.js';
import { lightOn, placeOf } from './light.js';
import { areaOf, factsOf } from './store.js';

/** A walk's way as its pages draw it: the strip to scale, the map where there is a route, the directions, and the day's light. */
export function wayOf(q: Tx, walk: WalkRow, settings: GroupSettings) {
  const route = walk.routeId === null ? null : (routeById(q, walk.routeId) ?? null);
  const area = areaOf(q, walk.areaId);
  const facts = factsOf(walk);
  const light = lightOn(placeOf(walk, route, area), walk.wallDate, walk.zone, walk.setOffAt);
  return {
    route,
    area,
    light,
    strip: routeStrip(facts, {
      profile: route?.profile ?? null,
      shape: route?.shape ?? null,
      sunset: light.set,
      dusk: light.dusk,
      settings,
    }),
    map: route && routeMap(route, facts, settings),
    turns: steps(walk.directions),
    gpx: route && walk.postedAt !== null ? `/walks/${walk.id}/route.gpx` : null,
  };
}

/** The directions, a step a line, without the numbers a leader may have typed: the page numbers them. */
export function steps(directions: string): string[] {
  return directions
    .split(/\n+/)
    .map((step) => step.replace(/^\s*\d{1,3}[.)]\s+/, '').trim())
    .filter((step) => step !== '');
}
