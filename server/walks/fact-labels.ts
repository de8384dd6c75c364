import type { FactName } from './facts.js';

/** What leaders call each fact. The instants are not named: they follow from date, times and zone. */
export const FACT_LABELS: Partial<Record<FactName, string>> = {
  areaId: 'Area',
  routeName: 'Name of the route',
  locality: 'Place',
  date: 'Date',
  gather: 'Gather',
  setOff: 'Set off',
  zone: 'Time zone',
  meetingPoint: 'Meeting point',
  landmark: 'Landmark',
  lat: 'Map point',
  distanceMetres: 'Length',
  ascentMetres: 'Climb',
  surfaces: 'Underfoot',
  stepFree: 'Step-free',
  capacity: 'Places',
  dogs: 'Dogs',
  minors: 'Under-18s',
  theme: 'Theme',
  directions: 'Directions',
  description: 'About the walk',
  bring: 'What to bring',
};
