import { climbFigure, climbFromMetres, climbUnit, fromMetres, lengthWords, paceFigure } from '../calc/measure.js';
import type { Tx } from '../db/open.js';
import { suitsWords } from '../plan/on-walks.js';
import { planInForce } from '../plan/store.js';
import type { Services } from '../services.js';
import type { GroupSettings } from '../settings/rules.js';
import { weatherModel } from '../weather/model.js';
import { when } from '../web/when.js';
import { finishTimes } from './finish.js';
import type { WalkRow } from './ledby.js';
import type { Light } from './light.js';
import type { ownSignUp } from './own-sign-up.js';
import type { leadersOf, placesTaken } from './store.js';
import { walkTitle } from './title.js';
import { wayOf } from './way.js';

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

/** Distance, climb, hours on foot, what is underfoot, and daylight: the figures a walker decides by. */
export function figures(walk: WalkRow, settings: GroupSettings, light: Light) {
  const { units, locale } = settings;
  const perUnit = Math.round(climbFromMetres(walk.ascentMetres, units) / fromMetres(walk.distanceMetres, units));
  return [
    distance(walk, settings),
    // The leader need not say it: nothing typed is kept as 0, which is no promise of a level walk.
    walk.ascentMetres === 0
      ? { label: 'Climb', value: walk.effortMetres === null ? 'Not said' : 'Level', note: '' }
      : {
          label: 'Climb',
          value: climbFigure(walk.ascentMetres, units, locale),
          note: `${perUnit} ${climbUnit(units)} a ${units === 'mi' ? 'mile' : 'km'}`,
        },
    onFoot(walk, settings),
    {
      label: 'Underfoot',
      value: capital(walk.surfaces[0] ?? 'Not said'),
      note: [...walk.surfaces.slice(1), walk.stepFree ? 'step-free' : ''].filter((part) => part !== '').join(', '),
    },
    daylight(light, walk.zone, settings),
  ];
}

/** Hours of walking, fastest to slowest; and how long the slowest are out, where the stops make it longer. */
function onFoot(walk: WalkRow, settings: GroupSettings) {
  const hours = (end: number) => ((end - walk.setOffAt) / HOUR_MS).toFixed(1);
  const walking = finishTimes({ ...walk, stops: [] }, settings);
  const [fast, slow, out] = [walking.fastest, walking.slowest, finishTimes(walk, settings).slowest].map(hours);
  const pace = `slowest ${paceFigure(settings.slowPace, settings.units)}`;
  return { label: 'On foot', value: `${fast}–${slow} h`, note: slow === out ? pace : `${pace}, ${out} h with stops` };
}

/** Until when there is light, as a figure. */
export function daylight(light: Light, zone: string, settings: GroupSettings) {
  const clock = (at: number) => `${when(at, zone, settings).clock} ${when(at, zone, settings).zone}`;
  if (light.set !== null)
    return { label: 'Daylight', value: `to ${clock(light.set)}`, note: light.rise === null ? '' : `sun up ${clock(light.rise)}` };
  return {
    label: 'Daylight',
    value: light.allDay ? 'All day' : 'None',
    note: light.allDay ? 'the sun does not set' : 'the sun does not rise',
  };
}

/** "8.2 mi", and the shortest of the short ways. */
function distance(walk: WalkRow, { units }: GroupSettings) {
  const short = walk.stops.flatMap((stop) => (stop.short ? [stop.short.length] : []));
  const note = short.length === 0 ? '' : `short way ${lengthWords(Math.min(...short), units)}`;
  return { label: 'Distance', value: lengthWords(walk.distanceMetres, units), note };
}

/** Who may come, in a sentence. */
function suits(walk: WalkRow): string {
  const minors = walk.minors ? 'Adults, and under-18s with a guardian who signs up with them.' : 'Adults.';
  return `${minors} ${walk.dogs ? 'Dogs may come, on a lead, at the back.' : 'No dogs, please.'}`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Everything the public page of a walk shows. The leader's phone is not among it. */
export function walkPage(q: Tx, walk: WalkRow, around: Around, services: Services) {
  const settings = services.settings();
  const way = wayOf(services, walk);
  const { area } = way;
  const left = Math.max(0, walk.capacity - around.taken.confirmed);
  const past = walk.gatherAt <= services.now();
  const isOpen = walk.state === 'posted' && !past;
  const title = walkTitle(walk, settings.units);
  return {
    title,
    meet: meetFrame(walk, settings),
    figures: figures(walk, settings, way.light),
    way,
    strip: way.strip,
    map: way.map,
    explained: way.explained,
    weather: weatherModel(q, walk, settings, area.emergencyNumber),
    suits: suits(walk),
    suitsPlan: walk.state === 'cancelled' ? null : suitsWords(planInForce(q, settings), walk, settings),
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
