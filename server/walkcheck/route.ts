import { distance } from '../calc/geodesy.js';
import { addDays } from '../calc/month.js';
import type { LineVertex } from '../gpx/measured.js';
import type { Checked, Found } from './items.js';

/** How far a typed length may be from the route's, as a part of it. Common practice, no source. */
const MOST_LENGTH_OFF = 0.05;
/** How far a typed climb may be from the route's: heights are noisy, so both must be passed. Common practice, no source. */
const MOST_CLIMB_OFF = 0.25;
const MOST_CLIMB_OFF_METRES = 50;
/** 3 miles (common practice, no source), in whole metres: as far as a group finds its way without one. */
const MOST_UNDESCRIBED_METRES = 4828;
/** Bridges close and paths wash out in less than a season. Common practice, no source. */
const MOST_DAYS_UNSEEN = 30;

/** A typed length that is not the route's. */
export function lengthDiffers({ facts, around, words }: Checked): Found[] {
  const { route } = around;
  if (!route || Math.abs(facts.distanceMetres - route.lengthMetres) <= route.lengthMetres * MOST_LENGTH_OFF) return [];
  return [
    {
      key: 'length',
      kind: 'think',
      title: `The length says ${words.length(facts.distanceMetres)}, the route ${words.length(route.lengthMetres)}`,
      why: 'Walkers choose a walk by its length, and every time on the page follows from it.',
      mends: "Take the route's length, or check that the file is of this walk.",
      href: 'distance',
    },
  ];
}

/** A typed climb that is far from the route's. */
export function climbDiffers({ facts, around, words }: Checked): Found[] {
  const ascent = around.route?.ascentMetres ?? null;
  // A climb of 0 stands for "not said".
  if (ascent === null || facts.ascentMetres === 0) return [];
  const off = Math.abs(facts.ascentMetres - ascent);
  if (off <= ascent * MOST_CLIMB_OFF || off <= MOST_CLIMB_OFF_METRES) return [];
  return [
    {
      key: 'climb',
      kind: 'think',
      title: `The climb says ${words.climb(facts.ascentMetres)}, the route ${words.climb(ascent)}`,
      why: 'Climb decides who can come, and when the slowest are back.',
      mends: "Leave the climb empty to take the route's, or check that the file is of this walk.",
      href: 'ascent',
    },
  ];
}

/** A route that leaves the circle the area has on the map. */
export function outsideArea({ facts, around, words }: Checked): Found[] {
  const { route, area } = around;
  if (!route) return [];
  const away = route.line.flat().map(([lat, lon, metres]) => ({ metres, out: distance(area.lat, area.lon, lat, lon) - area.radiusMetres }));
  const outside = away.filter((vertex) => vertex.out > 0);
  const [first] = outside;
  if (!first) return [];
  const furthest = outside.reduce((most, vertex) => Math.max(most, vertex.out), 0);
  const along = route.lengthMetres > 0 ? (first.metres * facts.distanceMetres) / route.lengthMetres : 0;
  return [
    {
      key: 'outside',
      kind: 'think',
      title: `The route is outside ${area.name} from ${words.place(along)} on, up to ${words.length(furthest)} beyond its edge`,
      why: 'Walkers look for a walk by its area. Beyond the edge another one may be the right one, or the file is of another place.',
      mends: 'Check the file, and the area of the walk.',
      href: 'gpx',
    },
  ];
}

/** A long walk that nobody but its leader could follow. */
export function notFollowable({ facts, around, words }: Checked): Found[] {
  const followable = facts.directions.trim() !== '' || facts.routeId !== null || around.route !== null;
  if (followable || facts.distanceMetres <= MOST_UNDESCRIBED_METRES) return [];
  return [
    {
      key: 'directions',
      kind: 'think',
      title: `Neither directions nor a route, for ${words.over(facts.distanceMetres, MOST_UNDESCRIBED_METRES)}`,
      why: 'Whoever falls behind, and whoever walks last, cannot find the way alone.',
      mends: 'Add a GPX file, or write the turns down.',
      href: 'directions',
    },
  ];
}

/** Whether the leader has seen the route, and lately. */
export function seen({ facts, words }: Checked): Found[] {
  const base = { key: 'seen', kind: 'think', href: 'seenOn' } as const;
  if (facts.seenOn === '')
    return [
      {
        ...base,
        title: 'Walk or drive the route first: online maps miss closures',
        why: 'A closed bridge or a locked toilet is found on the day, with the group behind you.',
        mends: 'Type the day on which you saw it.',
      },
    ];
  if (facts.seenOn >= addDays(facts.date, -MOST_DAYS_UNSEEN)) return [];
  return [
    {
      ...base,
      title: `The route was last seen on ${words.day(facts.seenOn)}, more than ${MOST_DAYS_UNSEEN} days before the walk`,
      why: 'Paths close, bridges are mended and toilets are locked in less than a season.',
      mends: 'See it once more nearer the day, and type when.',
    },
  ];
}

/** Pieces of one track lie closer than this; two ways further apart are two walks. Common practice, no source. */
const MOST_GAP_METRES = 200;

/** A file whose way breaks off and goes on somewhere else. */
export function brokenRoute({ around, words }: Checked): Found[] {
  const line = around.route?.line ?? [];
  const gaps = line.slice(1).map((piece, index) => apart(line[index]?.at(-1), piece[0]));
  const widest = Math.max(0, ...gaps);
  if (widest <= MOST_GAP_METRES) return [];
  return [
    {
      key: 'gap',
      kind: 'think',
      title: `The route breaks off, and goes on ${words.length(widest)} away`,
      why: 'What lies between counts neither for the length nor for the hours. The file may hold two walks.',
      mends: 'Bring a file of this walk alone, or type the whole length.',
      href: 'gpx',
    },
  ];
}

/** Start and finish further apart than this are a way one has to come back from. Common practice, no source. */
const MOST_BACK_METRES = 800;
const WAY_BACK = /\b(cars?|bus(es)?|trains?|trams?|ferr(y|ies)|shuttles?|lifts?|taxis?|way back|back to)\b/i;

/** A walk that ends somewhere else, with no word of how one gets back. */
export function noWayBack({ facts, around, words }: Checked): Found[] {
  const ends = apart(around.route?.line[0]?.[0], around.route?.line.at(-1)?.at(-1));
  if (ends <= MOST_BACK_METRES || WAY_BACK.test(`${facts.description} ${facts.directions} ${facts.bring}`)) return [];
  return [
    {
      key: 'wayback',
      kind: 'think',
      title: `The route ends ${words.length(ends)} from where it begins`,
      why: 'Whoever has a car at the start, or a lift home from there, must know before they come.',
      mends: 'Say in the text where it ends and how people get back.',
      href: 'directions',
    },
  ];
}

function apart(from: LineVertex | undefined, to: LineVertex | undefined): number {
  return from && to ? distance(from[0], from[1], to[0], to[1]) : 0;
}
