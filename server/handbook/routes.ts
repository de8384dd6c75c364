import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { handbookPages } from './show.js';

/** The leaders' handbook: anyone reads it, who is signed in can mark a page as read. */
export function handbookRoutes(app: FastifyInstance, services: Services): void {
  const handbook = handbookPages(services);
  app.get('/handbook', may('anyone'), handbook.contents);
  app.get('/handbook/:page', may('anyone'), handbook.one);
  app.post('/handbook/:page/read', may('signedIn'), handbook.read);
}
