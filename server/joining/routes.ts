import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { leadToForm } from '../web/posted.js';
import { aboutPages } from './about-pages.js';
import { agreementPages } from './agreement-pages.js';
import { applyPages } from './apply-pages.js';
import { joinPages } from './join-pages.js';
import { reviewPages } from './review-pages.js';

export function joiningRoutes(app: FastifyInstance, services: Services): void {
  const join = joinPages(services);
  app.get('/lead/join', may('anyone'), join.show);
  app.post('/lead/join/answer', may('signedIn'), join.giveAnswer);
  leadToForm(app, 'signedIn', '/lead/join', ['answer', 'apply/withdraw']);
  const apply = applyPages(services);
  app.get('/lead/join/apply', may('signedIn'), apply.form);
  app.post('/lead/join/apply', may('signedIn'), apply.apply);
  app.post('/lead/join/apply/withdraw', may('signedIn'), apply.withdraw);
  const agreement = agreementPages(services);
  app.get('/lead/join/agreement', may('signedIn'), agreement.form);
  app.post('/lead/join/agreement', may('signedIn'), agreement.sign);
  const about = aboutPages(services);
  app.get('/lead/about', may('leader'), about.form);
  app.post('/lead/about', may('leader'), about.save);
  app.get('/lead/about/leave', may('leader'), about.leaving);
  app.post('/lead/about/leave', may('leader'), about.leave);
  const review = reviewPages(services);
  app.get('/coordinate/applications', may('coordinator'), review.list);
  app.get('/coordinate/applications/:application', may('coordinator'), review.one);
  app.post('/coordinate/applications/:application/approve', may('coordinator'), review.postApprove);
  app.post('/coordinate/applications/:application/ask', may('coordinator'), review.postAsk);
  app.post('/coordinate/applications/:application/decline', may('coordinator'), review.postDecline);
  leadToForm(app, 'coordinator', '/coordinate/applications/:application', ['approve', 'ask', 'decline']);
}
