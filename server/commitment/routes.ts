import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { withFile } from '../web/multipart.js';
import { leadToForm } from '../web/posted.js';
import { leaderPages } from './leader-pages.js';
import { mailsOffPages } from './mails-off-pages.js';
import { ownPages } from './own-pages.js';

/** What leaders promise: their own page, the coordinator's of each, and the address that turns the monthly mail off. */
export function commitmentRoutes(app: FastifyInstance, services: Services): void {
  const own = ownPages(services);
  app.get('/lead/commitment', may('leader'), own.page);
  app.post('/lead/commitment/pledge', may('leader'), own.pledge);
  app.post('/lead/commitment/excuse', may('leader'), own.excuse);
  app.post('/lead/commitment/excuse/back', may('leader'), own.takeBack);
  app.post('/lead/commitment/mails', may('leader'), own.mails);
  leadToForm(app, 'leader', '/lead/commitment', ['pledge', 'excuse', 'excuse/back', 'mails']);
  const leader = leaderPages(services);
  app.get('/coordinate/leaders/:person', may('coordinator'), leader.page);
  app.post('/coordinate/leaders/:person/pledge', may('coordinator'), leader.pledge);
  app.post('/coordinate/leaders/:person/excuse', may('coordinator'), leader.excuse);
  app.post('/coordinate/leaders/:person/excuse/back', may('coordinator'), leader.takeBack);
  app.post('/coordinate/leaders/:person/back', may('coordinator'), leader.back);
  leadToForm(app, 'coordinator', '/coordinate/leaders/:person', ['pledge', 'excuse', 'excuse/back', 'back', 'stand-down']);
  const off = mailsOffPages(services);
  app.get('/monthly-mail/:token', may('mailed'), off.ask);
  // Mail programs may post it as multipart.
  app.post('/monthly-mail/:token', withFile(may('mailed')), off.turnOff);
}
