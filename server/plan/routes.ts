import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { publicPlanPages } from './public-pages.js';
import { seasonPages } from './season-pages.js';
import { weekPages } from './week-pages.js';

/** The season plan: for everyone, and where coordinators set it. */
export function planRoutes(app: FastifyInstance, services: Services): void {
  const open = publicPlanPages(services);
  const season = seasonPages(services);
  const week = weekPages(services);
  app.get('/plan', may('anyone'), open.show);
  app.get('/plan.ics', may('anyone'), open.ics);
  app.get('/coordinate/season', may('coordinator'), season.show);
  app.post('/coordinate/season', may('coordinator'), season.save);
  app.get('/coordinate/season/:week', may('coordinator'), week.show);
  app.post('/coordinate/season/:week', may('coordinator'), week.save);
}
