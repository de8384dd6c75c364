import { type Sun, sun, sunUp } from '../calc/sun.js';
import { keptIn } from '../web/kept.js';

/** Where the sun is reckoned for: the walk's map point, else where its route starts, else the middle of its area. */
export function placeOf(
  walk: { lat: number | null; lon: number | null },
  route: { line: [lat: number, lon: number, metres: number][][] } | null,
  area: { lat: number; lon: number },
): { lat: number; lon: number } {
  if (walk.lat !== null && walk.lon !== null) return { lat: walk.lat, lon: walk.lon };
  const start = route?.line[0]?.[0];
  return start ? { lat: start[0], lon: start[1] } : { lat: area.lat, lon: area.lon };
}

/** A day's light, and, where the sun neither rises nor sets, whether it is up all day. */
export type Light = Sun & { allDay: boolean };

const MOST_KEPT = 1000;
const known = new Map<string, Light>();

/**
 * Dawn, rise, set and dusk on a date, ms or null. Worked out once for each place and day: it costs as much as all else on a walk's page.
 * @param at an instant of that day at which the sun tells the polar day from the polar night
 */
export function lightOn(place: { lat: number; lon: number }, date: string, zone: string, at: number): Light {
  const key = `${place.lat} ${place.lon} ${date} ${zone} ${at}`;
  return keptIn(known, MOST_KEPT, key, () => {
    const times = sun(place.lat, place.lon, date, zone);
    return { ...times, allDay: times.rise === null && times.set === null && sunUp(place.lat, place.lon, at) };
  });
}
