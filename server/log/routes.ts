import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { logPage } from './page.js';

export function logRoutes(app: FastifyInstance, services: Services): void {
  app.get('/me/log', may('signedIn'), logPage(services));
}
