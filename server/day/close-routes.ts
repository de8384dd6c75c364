import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { closePages } from './close-pages.js';
import { hazardPages } from './hazard-pages.js';

export function closeRoutes(app: FastifyInstance, services: Services): void {
  const close = closePages(services);
  app.get('/lead/walks/:walk/close', may('walkLeader'), close.closeForm);
  app.post('/lead/walks/:walk/close', may('walkLeader'), close.postClose);
  const hazard = hazardPages(services);
  app.get('/lead/hazards/:hazard', may('leading'), hazard.show);
  app.post('/lead/hazards/:hazard', may('leading'), hazard.gone);
}
