import type { Config } from '../config.js';
import type { CalendarWalk } from '../notices/calendar.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import { finishTimes, type Timed } from './finish.js';
import type { WalkRow } from './ledby.js';
import type { TimetableRow } from './timetable.js';
import { walkTitle } from './title.js';

/** What of a walk goes into calendars. Instants in ms. */
export interface CalendarFacts
  extends Pick<TimetableRow, 'id' | 'uid' | 'sequence' | 'gatherAt' | 'meetingPoint' | 'landmark' | 'lat' | 'lon'> {
  /** When it was last changed. */
  stamp: number;
  /** When the slowest should be back. */
  end: number;
  title: string;
  cancelled: boolean;
  /** Lines of its description above the address of its page. */
  notes: string[];
}

/** A walk as calendars show it: from gathering until the slowest are back. */
export function calendarWalk(walk: CalendarFacts, group: { settings: GroupSettings; config: Config }): CalendarWalk {
  const { settings, config } = group;
  const { uid, sequence, stamp, end, title, lat, lon, cancelled } = walk;
  const url = `${config.baseUrl}/walks/${walk.id}`;
  return {
    uid,
    sequence,
    stamp,
    start: walk.gatherAt,
    end,
    title,
    place: [walk.meetingPoint, walk.landmark].filter((part) => part !== '').join(', '),
    lat,
    lon,
    description: [...walk.notes, url].join('\n'),
    url,
    cancelled,
    organizer: { name: settings.groupName, email: mailAddress(config.mailFrom) },
  };
}

/** The line that says why a walk was cancelled. */
export function cancelledNote(reason: string): string {
  return `Cancelled: ${reason}`;
}

type PublicWalk = Omit<CalendarFacts, 'stamp' | 'end' | 'title' | 'cancelled' | 'notes'> &
  Pick<TimetableRow, 'updatedAt' | 'routeName' | 'locality' | 'cancelReason'> &
  Timed & {
    state: WalkRow['state'];
  };

/** A walk for anyone's calendar: nobody's name, number or private link is in it. @param notes lines above the address of its page */
export function walkForCalendar(walk: PublicWalk, services: Services, notes: string[] = []): CalendarWalk {
  const settings = services.settings();
  const cancelled = walk.state === 'cancelled';
  const facts: CalendarFacts = {
    ...walk,
    stamp: walk.updatedAt,
    end: finishTimes(walk, settings).slowest,
    title: walkTitle(walk, settings.units),
    cancelled,
    notes: [...(cancelled ? [cancelledNote(walk.cancelReason ?? '')] : []), ...notes],
  };
  return calendarWalk(facts, { settings, config: services.config });
}

/** The bare address in "Name <address>". */
export function mailAddress(from: string): string {
  return /<([^<>]+)>\s*$/.exec(from)?.[1] ?? from.trim();
}
