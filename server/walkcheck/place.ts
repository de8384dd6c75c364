import { distance } from '../calc/geodesy.js';
import type { Checked, Found } from './items.js';

/** Places too large to find a group in by their name alone. Common sense, no source. */
const LARGE_PLACES = new Set(
  (
    'airport arena beach campground campus centre center college common downtown fairground festival field forest garden harbor harbour ' +
    'hospital lake mall marina market museum park plaza port quay racecourse racetrack reserve reservoir resort school square stadium station ' +
    'supermarket terminal university waterfront woods zoo'
  ).split(' '),
);

/** Words that pick out no spot. */
const VAGUE = new Set(
  (
    'a an and at behind beside by close for from front here i in inside is it me my near next of off on opposite our outside over the there ' +
    'to us we will you your area around building car entrance entry group leader location lot main meet meeting middle parking place point side ' +
    'site somewhere spot tba tbc tbd usual walkers where'
  ).split(' '),
);

/** Further than this from the meeting point, the route starts somewhere else. Common practice, no source. */
const MOST_START_APART_METRES = 300;

/** A landmark that is missing, or that picks out no spot of a large place. */
export function landmark({ facts }: Checked): Found[] {
  const { meetingPoint } = facts;
  // A car park is no park.
  const large = wordsOf(meetingPoint.replace(/\bcar parks?\b/gi, ' ')).some((word) => LARGE_PLACES.has(word));
  const base = {
    key: 'landmark',
    mends: 'Name something exact to stand beside: "the green ticket machine at the north gate".',
    href: 'landmark',
  } as const;
  if (facts.landmark.trim() === '')
    return [
      {
        ...base,
        kind: 'mend',
        title: large ? `No landmark, and "${meetingPoint}" is a large place` : 'No landmark at the meeting point',
        why: 'People who stand a corner away think that they are alone, and go home.',
      },
    ];
  if (!large || !isVague(facts.landmark, meetingPoint)) return [];
  return [
    {
      ...base,
      kind: 'think',
      title: `"${meetingPoint}" is a large place, and "${facts.landmark}" does not say where in it`,
      why: 'People wait at the wrong corner of it until the group has gone.',
    },
  ];
}

/** Whether a landmark says no more than the place itself does. */
function isVague(text: string, meetingPoint: string): boolean {
  const place = new Set(wordsOf(meetingPoint));
  return wordsOf(text).every((word) => VAGUE.has(word) || LARGE_PLACES.has(word) || place.has(word));
}

/** The words of a text, small, without a plural's s. */
function wordsOf(text: string): string[] {
  return (text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? []).map((word) => (word.length > 3 ? word.replace(/s$/, '') : word));
}

/** A meeting point without its place on the map. */
export function mapPoint({ facts, around }: Checked): Found[] {
  if (facts.lat !== null && facts.lon !== null) return [];
  return [
    {
      key: 'mappoint',
      kind: 'think',
      title: 'The meeting point has no map point',
      why: `People who do not know the place cannot be guided to it. Until it has one, sun times are for ${around.route?.line[0]?.[0] ? "the route's start" : "the area's middle"}.`,
      mends: 'Give its latitude and longitude.',
      href: 'lat',
    },
  ];
}

/** A route that begins somewhere else than where people gather. */
export function startElsewhere({ facts, around, words }: Checked): Found[] {
  const first = around.route?.line[0]?.[0];
  if (!first || facts.lat === null || facts.lon === null) return [];
  const apart = distance(facts.lat, facts.lon, first[0], first[1]);
  if (apart <= MOST_START_APART_METRES) return [];
  return [
    {
      key: 'start',
      kind: 'think',
      title: `The route starts ${words.length(apart)} from the meeting point`,
      why: 'Either the map point or the file is of another place, or there is a stretch that the length leaves out.',
      mends: 'Check the map point and the file.',
      href: 'lat',
    },
  ];
}
