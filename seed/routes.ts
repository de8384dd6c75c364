import { EAST_FORK } from './routes/east-fork.js';
import { LANTERN_HILLS } from './routes/lantern-hills.js';
import { MILLBROOK } from './routes/millbrook.js';
import { PORT_AVERY } from './routes/port-avery.js';
import { QUARRY_LAKES } from './routes/quarry-lakes.js';
import type { Route } from './routes/route.js';

export type { Route };

/** The routes of each area, by its slug. */
export const ROUTES: Record<string, Route[]> = {
  millbrook: MILLBROOK,
  'port-avery': PORT_AVERY,
  'lantern-hills': LANTERN_HILLS,
  'quarry-lakes': QUARRY_LAKES,
  'east-fork': EAST_FORK,
};
