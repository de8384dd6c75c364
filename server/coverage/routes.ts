import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { boardPages } from './board-pages.js';
import { forecastPages } from './forecast-pages.js';

export function coverageRoutes(app: FastifyInstance, services: Services): void {
  const pages = boardPages(services);
  app.get('/coordinate', may('coordinator'), pages.board);
  app.post('/coordinate/seen', may('coordinator'), pages.seen);
  app.get('/coordinate/coverage.csv', may('coordinator'), pages.csv);
  app.get('/coordinate/forecast', may('coordinator'), forecastPages(services).show);
}
