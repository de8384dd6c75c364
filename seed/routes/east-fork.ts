import { POINTS } from '../points.js';
import { type Route, stop } from './route.js';

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
    directions:
      'From the porch, right down the store lane to the river.\nLeft along the near arm, through three gates: shut each.\nAt the ford the leader says which way: across, or on to the bridge.\nRight along the far arm to the dairy.\nRight at the silver tank, and over the road bridge to the store.',
    ground: { shape: 'loop', heading: 70, width: 0.6 },
    base: 141,
    hills: [
      [0, 0.5],
      [1.0, 0],
      [3.1, 0.6],
      [4.3, 0.1],
      [6.2, 1],
      [7.6, 0.2],
      [8.9, 0.5],
    ],
    stops: [
      stop(2.3, ['regroup'], 'Third gate', 5, { back: 6.6, makes: 6.4 }),
      stop(4.3, ['toilets', 'water', 'regroup'], 'The ford, scout camp', 15),
      stop(6.6, ['water', 'shop'], 'Dairy', 10),
    ],
  },
  {
    name: 'Grange to gap',
    locality: 'East Fork',
    kind: 'long',
    miles: 10.9,
    feet: 740,
    surfaces: ['unpaved', 'gravel'],
    point: POINTS.grange,
    description: 'Up to the gap for lunch with the wind behind us, and back by the hollow. The hollow is unpaved and may be muddy.',
    bring: 'Lunch and two bottles of water: there is none after the grange.',
    directions:
      'From the hand pump, left on the gap road.\nRight at the mailbox row, up the gravel.\nOver the cattle grid and straight on to the gap.\nLeft through the gap, then left again down into the hollow.\nFollow the creek, crossing it twice on planks.\nLeft at the tobacco barn, and left at the grange.',
    ground: { shape: 'loop', heading: 150, width: 0.55 },
    base: 149,
    hills: [
      [0, 0],
      [1.8, 0.2],
      [2.4, 0.12],
      [5.4, 1],
      [6.3, 0.72],
      [6.9, 0.8],
      [9.3, 0.06],
      [9.9, 0.14],
      [10.9, 0],
    ],
    stops: [
      stop(2.4, ['regroup'], 'Cattle grid', 5, { back: 9.3, makes: 6.2 }),
      stop(4.8, ['toilets'], "Hunters' lot below the gap", 5),
      stop(5.4, ['shelter', 'regroup'], 'The gap: lunch', 30),
      stop(8.1, ['regroup'], 'Second plank bridge', 5),
      stop(9.3, ['toilets'], 'Tobacco barn', 5),
    ],
    explained: { water: 'There is no water after the grange: fill two bottles at the hand pump before we set off.' },
  },
];
