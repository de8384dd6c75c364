import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import type { Views } from '../web/render.js';
import { messagePages } from './pages.js';

/** Writing to everyone signed up for a walk. */
export function messageRoutes(app: FastifyInstance, services: Services, views: Views): void {
  const messages = messagePages(services, views);
  app.get('/lead/walks/:walk/message', may('walkLeader'), messages.messageForm);
  app.post('/lead/walks/:walk/message', may('walkLeader'), messages.postMessage);
}
