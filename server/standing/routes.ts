import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { notePages } from './pages.js';

/** A leader's standing notes. */
export function standingRoutes(app: FastifyInstance, services: Services): void {
  const notes = notePages(services);
  app.get('/lead/notes', may('leader'), notes.list);
  app.post('/lead/notes', may('leader'), notes.add);
  app.get('/lead/notes/:note', may('leader'), notes.one);
  app.post('/lead/notes/:note', may('leader'), notes.change);
}
