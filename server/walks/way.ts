import { langmuir } from '../calc/pace.js';
import { descents, type Profile } from '../calc/profile.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import { type MapModel, routeMap } from '../strip/map.js';
import { routeStrip, type StripModel } from '../strip/strip.js';
import { keptIn } from '../web/kept.js';
import { explainedOf, type Near, nearOf } from './checked.js';
import type { WalkRow } from './ledby.js';
import { type Light, lightOn, placeOf } from './light.js';
import { areaOf, factsOf } from './store.js';

/** A walk's way as its pages draw it. */
export interface Way {
  light: Light;
  /** The walk to scale. */
  strip: StripModel;
  /** The route from above, where there is one. */
  map: MapModel | null;
  /** The directions, a step each. */
  turns: string[];
  /** Where the route's file is, once the walk is public. */
  gpx: string | null;
  /** Seconds on foot by the walkers' rule of thumb, for the leader to hold against the group's own paces; null where the heights are not known. */
  ruleOfThumb: number | null;
  /** What the walk check finds and the leader goes ahead with all the same, and why. */
  explained: { title: string; reason: string }[];
}

const MOST_KEPT = 200;
const drawn = new WeakMap<GroupSettings, Map<string, Way>>();

/**
 * A walk's way and its area. Drawing costs more than all else on a walk's page, and a version of a walk on its route never changes: each
 * is drawn once, as long as the settings and the area's place stand. @param near where the caller has it at hand
 */
export function wayOf(services: Services, walk: WalkRow, near?: Near): Way & Pick<Near, 'area'> {
  const settings = services.settings();
  const area = near?.area ?? areaOf(services.db.q, walk.areaId);
  const kept = drawn.get(settings) ?? new Map<string, Way>();
  drawn.set(settings, kept);
  const key = `${walk.id} ${walk.version} ${area.lat} ${area.lon}`;
  const way = keptIn(kept, MOST_KEPT, key, () => draw(services, walk, near ?? nearOf(services, factsOf(walk))));
  return { ...way, area };
}

function draw(services: Services, walk: WalkRow, near: Near): Way {
  const settings = services.settings();
  const { route, area } = near;
  const facts = factsOf(walk);
  const light = lightOn(placeOf(walk, route, area), walk.wallDate, walk.zone, walk.setOffAt);
  const around = { profile: route?.profile ?? null, shape: route?.shape ?? null, sunset: light.set, dusk: light.dusk, settings };
  return {
    light,
    strip: routeStrip(facts, around),
    map: route && routeMap(route, facts, settings),
    turns: steps(walk.directions),
    gpx: route && walk.postedAt !== null ? `/walks/${walk.id}/route.gpx` : null,
    ruleOfThumb: route?.profile ? ruleOfThumb(route.profile, walk) : null,
    explained: explainedOf(services, walk, near),
  };
}

/** Naismith's rule with Langmuir's corrections for going down. */
function ruleOfThumb(profile: Profile, { distanceMetres, ascentMetres }: WalkRow): number {
  const { moderate, steep } = descents(profile);
  return langmuir(distanceMetres, ascentMetres, moderate, steep);
}

/** The directions, a step a line, without the numbers a leader may have typed: the page numbers them. */
export function steps(directions: string): string[] {
  return directions
    .split(/\n+/)
    .map((step) => step.replace(/^\s*(\d{1,3}[.)]|[-*•])\s+/, '').trim())
    .filter((step) => step !== '');
}
