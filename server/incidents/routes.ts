import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { followPages } from './follow-pages.js';
import { recordPages } from './record-pages.js';
import { summaryPages } from './summary-pages.js';

export function incidentRoutes(app: FastifyInstance, services: Services): void {
  const { list, form, add, one, change } = recordPages(services);
  app.get('/lead/walks/:walk/incidents', may('walkLeader'), list);
  app.get('/lead/walks/:walk/incidents/new', may('walkLeader'), form);
  app.post('/lead/walks/:walk/incidents/new', may('walkLeader'), add);
  app.get('/lead/walks/:walk/incidents/:incident', may('walkLeader'), one);
  app.post('/lead/walks/:walk/incidents/:incident', may('walkLeader'), change);
  const follow = followPages(services);
  app.get('/coordinate/incidents', may('coordinator'), follow.queue);
  app.get('/coordinate/incidents/:incident', may('coordinator'), follow.one);
  app.post('/coordinate/incidents/:incident', may('coordinator'), follow.act);
  const summary = summaryPages(services);
  app.get('/coordinate/incidents/summary', may('coordinator'), summary.show);
  app.get('/coordinate/incidents/summary.csv', may('coordinator'), summary.csv);
}
