import type { CalendarWalk } from '../notices/calendar.js';
import type { Services } from '../services.js';
import { finishTimes } from './finish.js';
import type { WalkRow } from './ledby.js';
import type { TimetableRow } from './timetable.js';
import { walkTitle } from './title.js';

type InCalendar = Pick<
  TimetableRow,
  | 'id'
  | 'uid'
  | 'sequence'
  | 'updatedAt'
  | 'routeName'
  | 'locality'
  | 'zone'
  | 'gatherAt'
  | 'setOffAt'
  | 'meetingPoint'
  | 'landmark'
  | 'lat'
  | 'lon'
  | 'distanceMetres'
  | 'ascentMetres'
  | 'cancelReason'
> & { state: WalkRow['state'] };

/** A walk as calendars show it: from gathering until the slowest are back. */
export function walkForCalendar(walk: InCalendar, services: Services): CalendarWalk {
  const settings = services.settings();
  const url = `${services.config.baseUrl}/walks/${walk.id}`;
  const cancelled = walk.state === 'cancelled';
  return {
    uid: walk.uid,
    sequence: walk.sequence,
    stamp: walk.updatedAt,
    start: walk.gatherAt,
    end: finishTimes(walk, settings).slowest,
    zone: walk.zone,
    title: walkTitle(walk, settings.units),
    place: [walk.meetingPoint, walk.landmark].filter((part) => part !== '').join(', '),
    lat: walk.lat,
    lon: walk.lon,
    description: cancelled ? `Cancelled: ${walk.cancelReason ?? ''}\n${url}` : url,
    url,
    cancelled,
    organizer: { name: settings.groupName, email: mailAddress(services.config.mailFrom) },
  };
}

/** The bare address in "Name <address>". */
export function mailAddress(from: string): string {
  return /<([^<>]+)>\s*$/.exec(from)?.[1] ?? from.trim();
}
