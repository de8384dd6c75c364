import type { FastifyInstance } from 'fastify';
import { exportMe } from '../people/me-export.js';
import { meWaiver } from '../people/me-waiver.js';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { erasePages } from './erase-pages.js';
import { privacyPage } from './privacy-page.js';

export function privacyRoutes(app: FastifyInstance, services: Services): void {
  const { erasePage, eraseMe, erasedPage } = erasePages(services);
  app.get('/privacy', may('anyone'), privacyPage(services));
  app.get('/me/waivers/:waiver', may('signedIn'), meWaiver(services));
  app.post('/me/export', may('signedIn'), exportMe(services));
  app.get('/me/erase', may('signedIn'), erasePage);
  app.post('/me/erase', may('signedIn'), eraseMe);
  app.get('/me/erased', may('anyone'), erasedPage);
}
