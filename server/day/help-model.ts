import { lengthWords } from '../calc/measure.js';
import type { StoredRoute } from '../gpx/store.js';
import type { GroupSettings } from '../settings/rules.js';
import { placeKinds } from '../strip/places.js';
import type { WalkRow } from '../walks/ledby.js';
import { type Entry, groupAt, type Standing, standing } from './ledger.js';
import { type Point, pointOfWalk, pointWords } from './where.js';

/** A place of the walk as it is said to the emergency services. */
export interface HelpPlace {
  name: string;
  /** "2.4 miles along the way"; empty at the meeting point. */
  along: string;
  /** "41.30012, -85.10044"; null where nobody knows. */
  point: string | null;
  /** They, or the group, were counted here last. */
  last: boolean;
}

/** How far the roll has come: 0 before the first stop, so many stops, or the finish. Pure. */
export function lastStop(entries: readonly Entry[], who: string | null): { stop: number; finished: boolean } {
  if (who !== null) {
    const one: Standing = standing(entries.filter((entry) => entry.who === who));
    return { stop: one.stop, finished: one.state === 'finished' };
  }
  const group = groupAt(entries);
  return { stop: group.at === 'stop' ? group.stop : 0, finished: group.at === 'finish' };
}

/** The meeting point and each stop in order, with where it is and where somebody was counted last. Pure. */
export function helpPlaces(
  walk: Pick<WalkRow, 'meetingPoint' | 'landmark' | 'lat' | 'lon' | 'stops' | 'distanceMetres'>,
  route: Pick<StoredRoute, 'line'> | null,
  at: { stop: number; finished: boolean },
  settings: Pick<GroupSettings, 'units'>,
): HelpPlace[] {
  const meeting = walk.lat === null || walk.lon === null ? null : { lat: walk.lat, lon: walk.lon };
  const pointOf = (metres: number) => pointOfWalk(route?.line ?? null, metres, walk);
  const spoken = (point: Point | null) => point && pointWords(point);
  return [
    {
      name: `Meeting point: ${walk.meetingPoint}, ${walk.landmark}`,
      along: '',
      point: spoken(meeting ?? pointOf(0)),
      last: !at.finished && at.stop === 0,
    },
    ...walk.stops.map((stop, index) => ({
      name: `Stop ${index + 1}: ${stop.name || placeKinds(stop.kinds)}`,
      along: `${lengthWords(stop.metres, settings.units)} along the way`,
      point: spoken(pointOf(stop.metres)),
      last: !at.finished && at.stop === index + 1,
    })),
    {
      name: 'Finish',
      along: `${lengthWords(walk.distanceMetres, settings.units)} along the way`,
      point: spoken(pointOf(walk.distanceMetres)),
      last: at.finished,
    },
  ];
}
