import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { withJson } from '../web/json.js';
import { rollPages } from './roll-pages.js';

/** The day of a walk. */
export function dayRoutes(app: FastifyInstance, services: Services): void {
  const roll = rollPages(services);
  app.get('/lead/walks/:walk/roll', withJson(may('walkLeader')), roll.roll);
  app.post('/lead/walks/:walk/roll', withJson(may('walkLeader')), roll.postRoll);
}
