import { EAST_FORK } from './routes/east-fork.js';
import { LANTERN_HILLS } from './routes/lantern-hills.js';
import { MILLBROOK } from './routes/millbrook.js';
import { PORT_AVERY } from './routes/port-avery.js';
import { QUARRY_LAKES } from './routes/quarry-lakes.js';
import type { Route } from './routes/route.js';
import { WHOLE_DAY } from './routes/whole-day.js';

export type { Route };
export { WHOLE_DAY };

/** The routes of each area, by its slug. */
export const ROUTES: Record<string, Route[]> = {
  millbrook: [...MILLBROOK, WHOLE_DAY],
  'port-avery': PORT_AVERY,
  'lantern-hills': LANTERN_HILLS,
  'quarry-lakes': QUARRY_LAKES,
  'east-fork': EAST_FORK,
};
