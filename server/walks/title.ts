import { titleLength, type Units } from '../calc/measure.js';
import type { WalkFacts } from './facts.js';

/** "8-mile walk: Quarry Lakes loop, Lantern Hills": composed, so that length and place always lead. */
export function walkTitle(facts: Pick<WalkFacts, 'distanceMetres' | 'routeName' | 'locality'>, units: Units): string {
  const unit = units === 'mi' ? 'mile' : 'km';
  return `${titleLength(facts.distanceMetres, units)}-${unit} walk: ${facts.routeName}, ${facts.locality}`;
}
