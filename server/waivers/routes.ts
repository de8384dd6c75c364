import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { withFile } from '../web/multipart.js';
import { listPages } from './list-pages.js';
import { paperPages } from './paper-pages.js';

export function waiverRoutes(app: FastifyInstance, services: Services): void {
  const paper = paperPages(services);
  app.get('/lead/walks/:walk/waivers', may('walkLeader'), paper.form);
  app.post('/lead/walks/:walk/waivers', may('walkLeader'), paper.post);
  app.get('/lead/walks/:walk/waivers/print', may('walkLeader'), paper.print);
  const list = listPages(services);
  app.get('/coordinate/walkers', may('coordinator'), list.form);
  app.post('/coordinate/walkers', withFile(may('coordinator')), list.post);
}
