import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { cancelPages } from './cancel-pages.js';
import { walkEditing } from './edit-pages.js';
import { publicWalkRoutes } from './public-routes.js';

/** Walks: what anyone may read, and what their leaders may change. */
export function walkRoutes(app: FastifyInstance, services: Services): void {
  publicWalkRoutes(app, services);
  const editing = walkEditing(services);
  const cancelling = cancelPages(services);
  app.get('/lead/walks/new', may('leader'), editing.newForm);
  app.post('/lead/walks/new', may('leader'), editing.postNew);
  app.get('/lead/walks/:walk/edit', may('walkLeader'), editing.editForm);
  app.post('/lead/walks/:walk/edit', may('walkLeader'), editing.postEdit);
  app.get('/lead/walks/:walk/cancel', may('walkLeader'), cancelling.cancelForm);
  app.post('/lead/walks/:walk/cancel', may('walkLeader'), cancelling.postCancel);
}
