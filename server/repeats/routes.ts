import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { repeatPages } from './pages.js';

/** Walks led again on several dates. */
export function repeatRoutes(app: FastifyInstance, services: Services): void {
  const repeats = repeatPages(services);
  app.get('/lead/walks/:walk/repeat', may('walkLeader'), repeats.form);
  app.post('/lead/walks/:walk/repeat', may('walkLeader'), repeats.post);
}
