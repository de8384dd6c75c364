import { POINTS } from '../points.js';
import { type Route, stop } from './route.js';

/** One day of the event's length, walked once in a season. */
export const WHOLE_DAY: Route = {
  name: 'Two rivers rehearsal',
  locality: 'Millbrook',
  kind: 'whole day',
  miles: 22,
  feet: 1310,
  surfaces: ['paved path', 'gravel', 'unpaved'],
  point: POINTS.oldMill,
  description:
    'A whole day of the event, at the pace you mean to keep, with a hall or a café every few miles. Unpaved and uneven for a mile over the saddle. Two shorter ways make it 11 or 19 miles: tell the leader when you set off which is yours.',
  bring: 'Breakfast inside you, lunch, salts, a headlamp, a warm layer, and the socks you mean to wear at the event.',
  directions:
    'From the water wheel, cross the footbridge and turn right down the race.\nStay by the river to the mill town bridge; cross it and go left.\nAt the ferry cottage take the gravel road up, away from the water.\nOver the saddle on the unpaved track; the stones mark it.\nRight at the chapel, down to the second river.\nLeft along it for five miles: the path changes side at the iron bridge.\nAt the packing shed leave the river, left on the drove.\nRight at the grain elevator; the weirs begin in half a mile.\nDown past all four weirs, and over the footbridge to the mill.',
  ground: { shape: 'loop', heading: 20, width: 0.95 },
  base: 182,
  hills: [
    ...([
      [0, 0.1],
      [2.2, 0],
      [4.6, 0.16],
      [6.1, 0.08],
      [7.9, 1],
      [9.2, 0.28],
      [11.3, 0.18],
      [12.6, 0.3],
    ] as const),
    ...([
      [15.4, 0.1],
      [17.3, 0.72],
      [18.4, 0.4],
      [19.0, 0.5],
      [20.7, 0.04],
      [22, 0.1],
    ] as const),
  ],
  stops: [
    stop(3.1, ['toilets', 'water'], 'Mill town bridge, town hall', 5),
    stop(6.1, ['toilets', 'water', 'shop', 'regroup'], 'Ferry cottage tea room', 10, { makes: 11.4 }),
    stop(7.9, ['regroup'], 'The saddle, third stone', 5),
    stop(9.2, ['toilets', 'water', 'shelter', 'regroup'], 'Chapel hall: lunch', 25, { back: 15.4, makes: 19.4 }),
    stop(12.6, ['toilets', 'water'], 'Iron bridge pump', 10),
    stop(15.4, ['toilets', 'water', 'shop', 'regroup'], 'Packing shed café', 15),
    stop(18.4, ['toilets', 'water'], 'Grain elevator office', 5),
    stop(20.7, ['regroup'], 'First weir', 5),
  ],
  explained: {
    dusk: 'The days are short, and we mean to know how the last hour feels: the path from the first weir is paved and lit. Bring the headlamp.',
  },
};
