import { getPosition, getTimes } from 'suncalc';
import { instants } from './zone.js';

/** A day's light: instants in ms, null where the sun does not pass that height. */
export interface Sun {
  /** Civil: the sun's middle 6° below the horizon, light enough to see the ground. */
  dawn: number | null;
  /** The sun's upper edge on a level horizon: its middle 0.833° below, by 34′ of refraction and 16′ of radius. */
  rise: number | null;
  set: number | null;
  dusk: number | null;
}

const HALF_DAY_MS = 12 * 60 * 60 * 1000;
/** What suncalc adds for refraction to any height below the horizon. */
const REFRACTION_DEGREES = 0.484;
const RISING_DEGREES = -0.833 + REFRACTION_DEGREES;
const CIVIL_DEGREES = -6 + REFRACTION_DEGREES;

/**
 * Dawn, sunrise, sunset and dusk of the day whose noon by the sun is the nearest to 12:00 on a date in a zone: however far the zone's
 * clock is from the sun's, they come in this order. Near midsummer in the north, a set may fall after midnight, on the next date.
 * Source: J. Meeus, Astronomical Algorithms (1998), chapter 25, by way of suncalc; heights as in the US Naval Observatory's tables.
 * @throws RangeError for a date or zone that is none
 */
export function sun(lat: number, lon: number, date: string, zone: string): Sun {
  // A date that a zone left out altogether has no noon: any of the day will do.
  const clockNoon = instants(date, '12:00', zone)[0] ?? Date.parse(`${date}T12:00Z`);
  const noon = getTimes(new Date(clockNoon), lat, lon).solarNoon.getTime();
  const passing = (degrees: number, midnight: number) => passes(lat, lon, degrees, midnight, noon);
  return {
    dawn: passing(CIVIL_DEGREES, noon - HALF_DAY_MS),
    rise: passing(RISING_DEGREES, noon - HALF_DAY_MS),
    set: passing(RISING_DEGREES, noon + HALF_DAY_MS),
    dusk: passing(CIVIL_DEGREES, noon + HALF_DAY_MS),
  };
}

/** Whether any of the sun is over a level horizon at an instant (ms). Source: as `sun`. */
export function sunUp(lat: number, lon: number, at: number): boolean {
  return height(lat, lon, at) > RISING_DEGREES;
}

/**
 * The instant, to half a second, at which the sun passes a height between a midnight and a noon, null where it stays on one side. Halved
 * down to, for suncalc's own times stray by minutes where the sun only grazes the height, as it does near the polar circles.
 */
function passes(lat: number, lon: number, degrees: number, midnight: number, noon: number): number | null {
  let [below, above] = [midnight, noon];
  if (height(lat, lon, below) >= degrees || height(lat, lon, above) < degrees) return null;
  while (Math.abs(above - below) > 1000) {
    const middle = Math.round((below + above) / 2);
    if (height(lat, lon, middle) < degrees) below = middle;
    else above = middle;
  }
  return Math.round((below + above) / 2);
}

/** The apparent height of the sun's middle, degrees. */
function height(lat: number, lon: number, at: number): number {
  return getPosition(new Date(at), lat, lon).altitude;
}
