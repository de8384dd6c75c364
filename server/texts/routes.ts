import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { may } from '../web/access.js';
import { page } from '../web/page.js';
import { toHtml } from './markdown.js';
import { type TextKind, textInForce } from './store.js';

export function textRoutes(app: FastifyInstance, services: Services): void {
  app.get('/rules', may('anyone'), textPage(services, 'rules', 'Rules of the walks'));
  app.get('/waiver', may('anyone'), textPage(services, 'waiver', 'The waiver'));
}

function textPage(services: Services, kind: TextKind, title: string) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const text = textInForce(services.db.q, kind);
    return page(request, reply, 'texts/page', { title, version: text.version, html: toHtml(text.body) });
  };
}
