import { stretches } from '../calc/stops.js';
import type { StopKind } from '../walks/stops.js';
import type { Checked, CheckRule, Found } from './items.js';
import { type CheckWords, listed } from './words.js';

/** 5 miles (common practice, no source), in whole metres, as lengths are kept. */
const MOST_APART_METRES = 8047;

export const toilets = spaced('toilets', 'People go off the way to find one, and fall behind unseen.');
export const water = spaced('water', 'People run dry before they notice, and in heat that becomes an emergency.');

/** Finds every stretch between the start, the stops that offer `kind`, and the finish, that is too long. */
function spaced(kind: StopKind & ('toilets' | 'water'), why: string): CheckRule {
  return ({ facts, words }) => {
    const at = facts.stops.filter((stop) => stop.kinds.includes(kind) && stop.metres <= facts.distanceMetres).map((stop) => stop.metres);
    const long = stretches(
      at.sort((a, b) => a - b),
      facts.distanceMetres,
      MOST_APART_METRES,
    );
    if (long.length === 0) return [];
    return [
      {
        key: kind,
        kind: 'mend',
        explain: true,
        title: `No ${kind} ${stretchesNamed(long, words)}`,
        why: `That is more than ${words.length(MOST_APART_METRES)}. ${why}`,
        mends: `Add a stop with ${kind} there, or say why the walk goes without, and what people should do.`,
        href: 'stops',
      },
    ];
  };
}

/** "between mile 2.4 and the finish: 5.8 mi"; of several, each with its length in brackets. */
function stretchesNamed(long: { from: number; to: number }[], words: CheckWords): string {
  const named = long.map(({ from, to }) => ({
    ends: `between ${words.place(from)} and ${words.place(to)}`,
    length: words.over(to - from, MOST_APART_METRES),
  }));
  const [only] = named;
  if (only && named.length === 1) return `${only.ends}: ${only.length}`;
  return listed(
    named.map(({ ends, length }) => `${ends} (${length})`),
    'nor',
  );
}

/** Stops further along than the walk is long. */
export function beyondFinish({ facts, words }: Checked): Found[] {
  const beyond = facts.stops.filter((stop) => stop.metres > facts.distanceMetres);
  if (beyond.length === 0) return [];
  const named = beyond.map((stop) => `${stopName(stop)} at ${words.over(stop.metres, facts.distanceMetres)}`);
  return [
    {
      key: 'beyond',
      kind: 'mend',
      title: `The walk is ${words.length(facts.distanceMetres)} long, but has ${listed(named)}`,
      why: 'Nobody comes to a stop that lies beyond the finish.',
      mends: 'Check how far along it is, or the length of the walk.',
      href: 'stops',
    },
  ];
}

/** Places that the file names, where the walk has no stops yet. */
export function unusedWaypoints({ facts, around, words }: Checked): Found[] {
  const places = around.route?.waypoints.filter((place) => place.kinds.length > 0) ?? [];
  if (facts.stops.length > 0 || places.length === 0) return [];
  return [
    {
      key: 'waypoints',
      kind: 'think',
      title: `The file names ${places.length === 1 ? 'a place' : `${places.length} places`} that could be stops: ${listed(
        places.map((place) => `${stopName(place)}, ${words.length(place.metres)} along`),
      )}`,
      why: 'Walkers want to know where they can rest, drink and find toilets.',
      mends: 'Take them over as stops.',
      href: 'stops',
    },
  ];
}

/** What a stop is called in a sentence. */
function stopName(stop: { name: string; kinds: string[] }): string {
  if (stop.name !== '') return `"${stop.name}"`;
  return stop.kinds.length > 0 ? stop.kinds.join(' and ') : 'a short way';
}
