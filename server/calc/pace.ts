import { METRES_PER_MILE } from './measure.js';

/** Naismith 1892: an hour for every 5 km (3 miles), and an hour for every 600 m (2000 ft) climbed. */
const NAISMITH_SECONDS_PER_METRE = 3600 / 5000;
const NAISMITH_SECONDS_PER_METRE_CLIMBED = 3600 / 600;
/** Langmuir 1984: ten minutes for every 300 m of descent. */
const LANGMUIR_SECONDS_PER_METRE_DESCENDED = 600 / 300;

/** Walking time in seconds by Naismith's rule (Scottish Mountaineering Club Journal II, 1892). */
export function naismith(metres: number, ascent: number): number {
  return metres * NAISMITH_SECONDS_PER_METRE + ascent * NAISMITH_SECONDS_PER_METRE_CLIMBED;
}

/**
 * Walking time in seconds by Naismith's rule with Langmuir's corrections: descent on slopes of 5° to 12° saves time, on steeper ones it
 * costs as much. Source: E. Langmuir, Mountaincraft and Leadership (1984).
 * @param moderateDescent metres down on slopes of 5° to 12° @param steepDescent metres down on slopes over 12°
 */
export function langmuir(metres: number, ascent: number, moderateDescent: number, steepDescent: number): number {
  return naismith(metres, ascent) + (steepDescent - moderateDescent) * LANGMUIR_SECONDS_PER_METRE_DESCENDED;
}

/**
 * Walking speed in km/h on a slope (rise over distance, downhill negative). Source: W. Tobler, Three Presentations on Geographical Analysis
 * and Modeling, NCGIA Technical Report 93-1 (1993).
 */
export function toblerSpeed(slope: number): number {
  return 6 * Math.exp(-3.5 * Math.abs(slope + 0.05));
}

/** Walking time in seconds at a group's own flat pace (minutes a mile), with Naismith's allowance for climb. */
export function onFoot(metres: number, ascent: number, minutesPerMile: number): number {
  return (metres / METRES_PER_MILE) * minutesPerMile * 60 + ascent * NAISMITH_SECONDS_PER_METRE_CLIMBED;
}
