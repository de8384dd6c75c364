/** The five areas. Invented; the coordinates only lie where a time-zone line could. */
export interface DemoArea {
  id: number;
  slug: string;
  name: string;
  lat: number;
  lon: number;
  zone: string;
  /** How many of the walkers live here. */
  walkers: number;
}

const EASTERN = 'America/New_York';
const CENTRAL = 'America/Chicago';

export const MILLBROOK: DemoArea = { id: 1, slug: 'millbrook', name: 'Millbrook', lat: 37.624, lon: -85.407, zone: EASTERN, walkers: 90 };
export const PORT_AVERY: DemoArea = {
  id: 2,
  slug: 'port-avery',
  name: 'Port Avery',
  lat: 37.812,
  lon: -85.118,
  zone: EASTERN,
  walkers: 65,
};
export const LANTERN_HILLS: DemoArea = {
  id: 3,
  slug: 'lantern-hills',
  name: 'Lantern Hills',
  lat: 37.438,
  lon: -85.631,
  zone: EASTERN,
  walkers: 70,
};
export const QUARRY_LAKES: DemoArea = {
  id: 4,
  slug: 'quarry-lakes',
  name: 'Quarry Lakes',
  lat: 37.583,
  lon: -86.424,
  zone: CENTRAL,
  walkers: 54,
};
export const EAST_FORK: DemoArea = { id: 5, slug: 'east-fork', name: 'East Fork', lat: 37.329, lon: -86.709, zone: CENTRAL, walkers: 20 };

export const AREAS: readonly DemoArea[] = [MILLBROOK, PORT_AVERY, LANTERN_HILLS, QUARRY_LAKES, EAST_FORK];

/** Which part of the week a walk is for; a whole day of the event is walked once in a season. */
export type DayKind = 'long' | 'sunday' | 'weekday' | 'whole day';

/** A standing arrangement: a day of the week (0 is Sunday), held every so many weeks. */
export interface Habit {
  area: DemoArea;
  day: number;
  everyWeeks: number;
  kind: DayKind;
  gather: string;
  setOff: string;
}

/** What the areas hold week by week: four well served, East Fork thin. */
export const HABITS: readonly Habit[] = [
  { area: MILLBROOK, day: 6, everyWeeks: 1, kind: 'long', gather: '08:45', setOff: '09:00' },
  { area: MILLBROOK, day: 0, everyWeeks: 2, kind: 'sunday', gather: '09:15', setOff: '09:30' },
  { area: MILLBROOK, day: 3, everyWeeks: 1, kind: 'weekday', gather: '09:50', setOff: '10:00' },
  { area: PORT_AVERY, day: 6, everyWeeks: 1, kind: 'long', gather: '08:30', setOff: '08:45' },
  { area: PORT_AVERY, day: 4, everyWeeks: 2, kind: 'weekday', gather: '10:15', setOff: '10:30' },
  { area: LANTERN_HILLS, day: 6, everyWeeks: 1, kind: 'long', gather: '08:45', setOff: '09:00' },
  { area: LANTERN_HILLS, day: 0, everyWeeks: 2, kind: 'sunday', gather: '09:00', setOff: '09:20' },
  { area: LANTERN_HILLS, day: 2, everyWeeks: 1, kind: 'weekday', gather: '09:45', setOff: '10:00' },
  { area: QUARRY_LAKES, day: 6, everyWeeks: 1, kind: 'long', gather: '08:30', setOff: '08:50' },
  { area: QUARRY_LAKES, day: 0, everyWeeks: 2, kind: 'sunday', gather: '09:30', setOff: '09:45' },
  { area: EAST_FORK, day: 6, everyWeeks: 3, kind: 'long', gather: '09:00', setOff: '09:15' },
];
