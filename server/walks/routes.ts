import type { FastifyInstance } from 'fastify';
import { routeReader } from '../gpx/reader.js';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { withFile } from '../web/multipart.js';
import { cancelPages } from './cancel-pages.js';
import { walkEditing } from './edit-pages.js';
import { publicWalkRoutes } from './public-routes.js';

/** Walks: what anyone may read, and what their leaders may change. */
export function walkRoutes(app: FastifyInstance, services: Services): void {
  publicWalkRoutes(app, services);
  const reader = routeReader({ onBreak: (error) => services.log.warn({ err: error }, 'a route file could not be read') });
  app.addHook('onClose', () => reader.close());
  const editing = walkEditing(services, reader);
  const cancelling = cancelPages(services);
  app.get('/lead/walks/new', may('leader'), editing.newForm);
  app.post('/lead/walks/new', withFile(may('leader')), editing.postNew);
  app.get('/lead/walks/:walk/edit', may('walkLeader'), editing.editForm);
  app.post('/lead/walks/:walk/edit', withFile(may('walkLeader')), editing.postEdit);
  app.get('/lead/walks/:walk/cancel', may('walkLeader'), cancelling.cancelForm);
  app.post('/lead/walks/:walk/cancel', may('walkLeader'), cancelling.postCancel);
}
