import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { leadCalendarPages } from './pages.js';

/** A leader's own calendar. */
export function leadCalendarRoutes(app: FastifyInstance, services: Services): void {
  const calendar = leadCalendarPages(services);
  app.get('/lead/calendar', may('leader'), calendar.about);
  app.post('/lead/calendar/new', may('leader'), calendar.make);
  app.post('/lead/calendar/off', may('leader'), calendar.off);
  app.get('/lead/calendar/:token(^[\\w-]+).ics', may('bearer'), calendar.feed);
}
