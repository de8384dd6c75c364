import { toMetres, type Units } from '../calc/measure.js';
import { isZone } from '../calc/zone.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import type { NewArea } from './store.js';

const WIDEST_METRES = 300_000;

/** Reads the area form. Pure. */
export function readArea(typed: Typed, units: Units): { area: NewArea } | { faults: Faults } {
  const faults: Faults = {};
  const name = line(typed, 'name');
  if (!/\p{L}/u.test(name)) faults.name = 'Give the area a name.';
  else if (name.length > 60) faults.name = 'Keep the name under 60 characters.';
  const zone = line(typed, 'zone');
  if (!isZone(zone)) faults.zone = 'Type a time zone such as America/New_York.';
  const emergencyNumber = line(typed, 'emergencyNumber');
  if (!/^\+?[\d ]{2,16}$/.test(emergencyNumber)) faults.emergencyNumber = 'Type the number to call in an emergency, such as 911.';
  const lat = within(line(typed, 'lat'), 90);
  const lon = within(line(typed, 'lon'), 180);
  if (lat === null) faults.lat = 'Latitude is a number from -90 to 90.';
  if (lon === null) faults.lon = 'Longitude is a number from -180 to 180.';
  const radius = Number(line(typed, 'radius').replace(',', '.') || Number.NaN);
  const radiusMetres = Number.isFinite(radius) ? toMetres(radius, units) : 0;
  if (radiusMetres < 1 || radiusMetres > WIDEST_METRES)
    faults.radius = `Type how far the area reaches, in ${units === 'mi' ? 'miles' : 'km'}.`;
  const typedFloor = line(typed, 'floor');
  const floorWalks = typedFloor === '' ? null : Number(typedFloor);
  if (floorWalks !== null && (!Number.isInteger(floorWalks) || floorWalks < 0 || floorWalks > 60))
    faults.floor = 'Type a whole number of walks, 0 to 60, or leave it empty.';
  if (Object.keys(faults).length > 0 || lat === null || lon === null) return { faults };
  return { area: { name, zone, emergencyNumber, lat, lon, radiusMetres, floorWalks } };
}

function within(text: string, most: number): number | null {
  const value = /^-?\d{1,3}([.,]\d{1,8})?$/.test(text) ? Number(text.replace(',', '.')) : null;
  return value !== null && Math.abs(value) <= most ? value : null;
}
