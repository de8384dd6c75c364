import { toMetres, type Units } from '../calc/measure.js';
import { isZone } from '../calc/zone.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import type { NewArea } from './store.js';

const WIDEST_METRES = 300_000;

/** What an area wants of the season plan. */
export type AreaWish = Pick<NewArea, 'weekdayWalks' | 'saturdayWalks' | 'sundayWalks' | 'lengthTolerance'>;

/** One of each kind. */
export const USUAL_WISH: AreaWish = { weekdayWalks: 1, saturdayWalks: 1, sundayWalks: 1, lengthTolerance: null };

export const MOST_WALKS = { weekdayWalks: 4, saturdayWalks: 3, sundayWalks: 3 } as const;
export const WISH_FIELDS = Object.keys(MOST_WALKS) as (keyof typeof MOST_WALKS)[];
const TOLERANCE = { least: 5, most: 50 } as const;

/** Reads the area form. Pure. @param wish what the area wants as it stands: a form that does not ask leaves it so */
export function readArea(typed: Typed, units: Units, wish: AreaWish = USUAL_WISH): { area: NewArea } | { faults: Faults } {
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
  const wanted = readWish(typed, wish, faults);
  if (Object.keys(faults).length > 0 || lat === null || lon === null) return { faults };
  return { area: { name, zone, emergencyNumber, lat, lon, radiusMetres, floorWalks, ...wanted } };
}

function readWish(typed: Typed, now: AreaWish, faults: Faults): AreaWish {
  const walks = (field: keyof typeof MOST_WALKS) => {
    if (typed[field] === undefined) return now[field];
    const value = /^\d$/.test(line(typed, field)) ? Number(line(typed, field)) : Number.NaN;
    if (!(value <= MOST_WALKS[field])) faults[field] = `Type how many walks: 0 to ${MOST_WALKS[field]}.`;
    return value;
  };
  return {
    weekdayWalks: walks('weekdayWalks'),
    saturdayWalks: walks('saturdayWalks'),
    sundayWalks: walks('sundayWalks'),
    lengthTolerance: readTolerance(typed, now, faults),
  };
}

/** A share, from per cent; null where it is left to the group's settings. What was not touched stays to the last decimal. */
function readTolerance(typed: Typed, now: AreaWish, faults: Faults): number | null {
  const text = line(typed, 'tolerance');
  if (typed.tolerance === undefined || text === shownTolerance(now)) return now.lengthTolerance;
  if (text === '') return null;
  const value = /^\d{1,2}$/.test(text) ? Number(text) : Number.NaN;
  if (!(value >= TOLERANCE.least && value <= TOLERANCE.most))
    faults.tolerance = `Type per cent: ${TOLERANCE.least} to ${TOLERANCE.most}, or leave it empty.`;
  return value / 100;
}

/** Per cent as the form shows it; empty where it is left to the group's settings. */
export function shownTolerance({ lengthTolerance }: Pick<AreaWish, 'lengthTolerance'>): string {
  return lengthTolerance === null ? '' : String(Math.round(lengthTolerance * 100));
}

function within(text: string, most: number): number | null {
  const value = /^-?\d{1,3}([.,]\d{1,8})?$/.test(text) ? Number(text.replace(',', '.')) : null;
  return value !== null && Math.abs(value) <= most ? value : null;
}
