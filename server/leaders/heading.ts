import type { Units } from '../calc/measure.js';
import type { WalkFacts } from '../walks/facts.js';
import { walkTitle } from '../walks/title.js';

/** A walk's title as a heading: its length ("8-mile") apart from the rest, so that no line ends at the hyphen. Pure. */
export function heading(
  walk: Pick<WalkFacts, 'distanceMetres' | 'routeName' | 'locality'>,
  units: Units,
): { length: string; rest: string } {
  const [length = '', ...rest] = walkTitle(walk, units).split(' ');
  return { length, rest: rest.join(' ') };
}
