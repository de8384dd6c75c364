import { POINTS } from '../points.js';
import type { Route } from './route.js';

export const EAST_FORK: Route[] = [
  {
    name: 'Fork and ford',
    locality: 'East Fork',
    kind: 'long',
    miles: 8.9,
    feet: 270,
    surfaces: ['gravel', 'grass'],
    dogs: true,
    point: POINTS.forkStore,
    description: 'Farm tracks along both arms of the river. We cross at the ford if it is low and go round by the bridge if it is not.',
    bring: 'Spare socks, in case of the ford.',
  },
  {
    name: 'Grange to gap',
    locality: 'East Fork',
    kind: 'long',
    miles: 10.9,
    feet: 740,
    surfaces: ['unpaved', 'gravel'],
    point: POINTS.grange,
    description: 'Up to the gap for lunch with the wind behind us, and back by the hollow.',
    bring: 'Lunch and two bottles of water: there is none after the grange.',
  },
];
