import type { FastifyInstance } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import type { Views } from '../web/render.js';
import { mailPages } from './mail-pages.js';
import { walkAgain } from './walk-again.js';

const TESTS_A_MINUTE = 6;

/** Outgoing mail and its failures. */
export function noticeRoutes(app: FastifyInstance, services: Services, views: Views): void {
  const { list, one, again, allAgain, test } = mailPages(services, views);
  app.get('/coordinate/mail', may('coordinator'), list);
  app.get('/coordinate/mail/:notice', may('coordinator'), one);
  app.post('/coordinate/mail/:notice/again', may('coordinator'), again);
  app.post('/coordinate/mail/again', may('coordinator'), allAgain);
  app.post('/coordinate/mail/test', may('coordinator', TESTS_A_MINUTE), test);
  app.post('/lead/walks/:walk/notices/:notice/again', may('walkLeader'), walkAgain(services));
}
