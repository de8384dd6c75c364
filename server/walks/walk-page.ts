import { climbFigure, climbFromMetres, climbUnit, fromMetres, lengthFigure } from '../calc/measure.js';
import type { Tx } from '../db/open.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import { when } from '../web/when.js';
import { finishTimes } from './finish.js';
import type { WalkRow } from './ledby.js';
import type { ownSignUp } from './own-sign-up.js';
import { areaOf, type leadersOf, type placesTaken } from './store.js';
import { walkTitle } from './title.js';

const HOUR_MS = 60 * 60 * 1000;

interface Around {
  leaders: ReturnType<typeof leadersOf>;
  taken: ReturnType<typeof placesTaken>;
  /** The visitor's own sign-up, if one stands. */
  own: ReturnType<typeof ownSignUp>;
}

/** When and where, as the heavy frame on top of every page about a walk shows it. */
export function meetFrame(walk: WalkRow, settings: GroupSettings) {
  const finish = finishTimes(walk, settings);
  return {
    gather: when(walk.gatherAt, walk.zone, settings),
    setOff: when(walk.setOffAt, walk.zone, settings),
    finishFrom: when(finish.fastest, walk.zone, settings),
    finishTo: when(finish.slowest, walk.zone, settings),
    meetingPoint: walk.meetingPoint,
    landmark: walk.landmark,
    point: walk.lat === null ? null : `${walk.lat.toFixed(5)}, ${walk.lon?.toFixed(5)}`,
    ics: `/walks/${walk.id}.ics`,
  };
}

/** Distance, climb, hours on foot, what is underfoot, and places: the figures a walker decides by. */
export function figures(walk: WalkRow, settings: GroupSettings) {
  const { units, locale } = settings;
  const finish = finishTimes(walk, settings);
  const perUnit = Math.round(climbFromMetres(walk.ascentMetres, units) / fromMetres(walk.distanceMetres, units));
  const hours = (end: number) => ((end - walk.setOffAt) / HOUR_MS).toFixed(1).replace(/\.0$/, '');
  return [
    { label: 'Distance', value: `${lengthFigure(walk.distanceMetres, units)} ${units}`, note: '' },
    // The leader need not say it: nothing typed is kept as 0, which is no promise of a level walk.
    walk.ascentMetres === 0
      ? { label: 'Climb', value: 'Not said', note: '' }
      : {
          label: 'Climb',
          value: climbFigure(walk.ascentMetres, units, locale),
          note: `${perUnit} ${climbUnit(units)} a ${units === 'mi' ? 'mile' : 'km'}`,
        },
    { label: 'On foot', value: `${hours(finish.fastest)}–${hours(finish.slowest)} h`, note: `slowest ${settings.slowPace} min a mile` },
    {
      label: 'Underfoot',
      value: capital(walk.surfaces[0] ?? 'Not said'),
      note: [...walk.surfaces.slice(1), walk.stepFree ? 'step-free' : ''].filter((part) => part !== '').join(', '),
    },
    {
      label: 'Who may come',
      value: 'Adults',
      note: [walk.minors ? 'under-18s: ask the leader first' : '', walk.dogs ? 'dogs on a lead, at the back' : 'no dogs, please']
        .filter((part) => part !== '')
        .join('; '),
    },
  ];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Everything the public page of a walk shows. The leader's phone is not among it. */
export function walkPage(q: Tx, walk: WalkRow, around: Around, services: Services) {
  const settings = services.settings();
  const area = areaOf(q, walk.areaId);
  const left = Math.max(0, walk.capacity - around.taken.confirmed);
  const past = walk.gatherAt <= services.now();
  const isOpen = walk.state === 'posted' && !past;
  const title = walkTitle(walk, settings.units);
  return {
    title,
    meet: meetFrame(walk, settings),
    figures: figures(walk, settings),
    walk: { id: walk.id, theme: walk.theme, moved: walk.moved, capacity: walk.capacity },
    cancelled: walk.state === 'cancelled' ? walk.cancelReason : null,
    past: walk.state === 'closed' || (walk.state === 'posted' && past),
    open: isOpen,
    // Nobody needs a walk in their calendar that they can no longer come to.
    noCalendar: !isOpen,
    own: around.own,
    left,
    waiting: around.taken.waiting,
    leaders: around.leaders.map((leader) => leader.name).join(' and '),
    area: { name: area.name, href: `/areas/${area.slug}` },
    bring: paragraphs(walk.bring),
    description: paragraphs(walk.description),
    directions: paragraphs(walk.directions),
    jsonLd: event(walk, title, left, services),
  };
}

/** A leader's text, a paragraph a line; empty lines left out. */
export function paragraphs(text: string): string[] {
  return text.split(/\n+/).filter((part) => part.trim() !== '');
}

/** schema.org Event: EventScheduled, EventRescheduled (with previousStartDate) or EventCancelled. */
function event(walk: WalkRow, title: string, left: number, services: Services) {
  const settings = services.settings();
  const iso = (at: number) => new Date(at).toISOString();
  const rescheduled = walk.previousGatherAt !== null && walk.previousGatherAt !== walk.gatherAt;
  const status = walk.state === 'cancelled' ? 'EventCancelled' : rescheduled ? 'EventRescheduled' : 'EventScheduled';
  const url = `${services.config.baseUrl}/walks/${walk.id}`;
  return {
    '@context': 'https://schema.org',
    '@type': 'Event',
    name: title,
    url,
    startDate: iso(walk.gatherAt),
    endDate: iso(finishTimes(walk, settings).slowest),
    eventStatus: `https://schema.org/${status}`,
    ...(rescheduled ? { previousStartDate: iso(walk.previousGatherAt ?? walk.gatherAt) } : {}),
    eventAttendanceMode: 'https://schema.org/OfflineEventAttendanceMode',
    isAccessibleForFree: true,
    maximumAttendeeCapacity: walk.capacity,
    remainingAttendeeCapacity: left,
    location: {
      '@type': 'Place',
      name: walk.meetingPoint,
      address: [walk.landmark, walk.locality].filter((part) => part !== '').join(', '),
      ...(walk.lat === null ? {} : { geo: { '@type': 'GeoCoordinates', latitude: walk.lat, longitude: walk.lon } }),
    },
    organizer: { '@type': 'Organization', name: settings.groupName, url: services.config.baseUrl },
  };
}
