import { METRES_PER_MILE } from './measure.js';

/** Naismith 1892: an hour for every 5 km (3 miles), and an hour for every 600 m (2000 ft) climbed. */
const NAISMITH_SECONDS_PER_METRE = 3600 / 5000;
const NAISMITH_SECONDS_PER_METRE_CLIMBED = 3600 / 600;

/** Walking time in seconds by Naismith's rule (Scottish Mountaineering Club Journal II, 1892). */
export function naismith(metres: number, ascent: number): number {
  return metres * NAISMITH_SECONDS_PER_METRE + ascent * NAISMITH_SECONDS_PER_METRE_CLIMBED;
}

/** Walking time in seconds at a group's own flat pace (minutes a mile), with Naismith's allowance for climb. */
export function onFoot(metres: number, ascent: number, minutesPerMile: number): number {
  return (metres / METRES_PER_MILE) * minutesPerMile * 60 + ascent * NAISMITH_SECONDS_PER_METRE_CLIMBED;
}
