import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { signedIn } from '../walks/led-request.js';
import { may } from '../web/access.js';
import { forgetKept } from './kept.js';
import { openingPages } from './opening-page.js';

export function contactRoutes(app: FastifyInstance, services: Services): void {
  const { contactsPage, openThem } = openingPages(services);

  function forget(request: FastifyRequest, reply: FastifyReply) {
    const id = Number((request.params as { kept: string }).kept);
    if (Number.isSafeInteger(id)) services.db.write((tx) => forgetKept(tx, signedIn(request), id));
    return reply.redirect('/me', 303);
  }

  app.get('/lead/walks/:walk/contacts', may('walkLeader'), contactsPage);
  app.post('/lead/walks/:walk/contacts', may('walkLeader'), openThem);
  app.post('/me/contacts/:kept/forget', may('signedIn'), forget);
}
