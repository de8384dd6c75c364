import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { offerPages } from './offer-pages.js';
import { togetherPages } from './pages.js';

const PRIVATE_PAGES_A_MINUTE = 60;
const ANSWERS_A_MINUTE = 20;

export function togetherRoutes(app: FastifyInstance, services: Services): void {
  const together = togetherPages(services);
  app.get('/lead/walks/:walk/together', may('walkLeader'), together.show);
  app.post('/lead/walks/:walk/together', may('walkLeader'), together.post);
  const offer = offerPages(services);
  app.get('/offers/:token', may('bearer', PRIVATE_PAGES_A_MINUTE), offer.show);
  app.post('/offers/:token', may('bearer', ANSWERS_A_MINUTE), offer.post);
}
