import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { leadToForm } from '../web/posted.js';
import { packPages } from './pack-pages.js';

export function packRoutes(app: FastifyInstance, services: Services): void {
  const pack = packPages(services);
  app.get('/lead/walks/:walk/pack', may('walkLeader'), pack.look);
  app.post('/lead/walks/:walk/pack', may('walkLeader'), pack.make);
  app.post('/lead/walks/:walk/pack/contacts', may('walkLeader'), pack.makeWithContacts);
  leadToForm(app, 'walkLeader', '/lead/walks/:walk/pack', ['contacts']);
}
