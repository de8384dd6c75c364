import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { coordinatorPages } from './coordinator-pages.js';
import { leadPages } from './lead-pages.js';

export function leaderRoutes(app: FastifyInstance, services: Services): void {
  const lead = leadPages(services);
  app.get('/lead', may('leader'), lead.own);
  app.get('/lead/walks/:walk', may('walkLeader'), lead.walk);
  const coordinator = coordinatorPages(services);
  app.get('/coordinate/leaders', may('coordinator'), coordinator.grid);
  app.get('/coordinate/leaders.csv', may('coordinator'), coordinator.csv);
  app.post('/coordinate/leaders', may('coordinator'), coordinator.approve);
  app.post('/coordinate/leaders/:person/stand-down', may('coordinator'), coordinator.standDown);
}
