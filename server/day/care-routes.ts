import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { helpPages } from './help-pages.js';
import { turnedUpPages } from './turned-up-pages.js';

export function careRoutes(app: FastifyInstance, services: Services): void {
  const turnedUp = turnedUpPages(services);
  app.get('/lead/walks/:walk/roll/turned-up', may('walkLeader'), turnedUp.newOne);
  app.post('/lead/walks/:walk/roll/turned-up', may('walkLeader'), turnedUp.add);
  app.get('/lead/walks/:walk/roll/turned-up/:key', may('walkLeader'), turnedUp.one);
  app.post('/lead/walks/:walk/roll/turned-up/:key', may('walkLeader'), turnedUp.fill);
  const { help, open } = helpPages(services);
  app.get('/lead/walks/:walk/roll/help', may('walkLeader'), help);
  app.post('/lead/walks/:walk/roll/help', may('walkLeader'), open);
}
