import type { FastifyInstance, FastifyRequest } from 'fastify';
import { type Access, may } from './access.js';

/**
 * The GET of an address that forms are posted to: a refused form stands there, and reloading it or coming back to it in another tab leads to
 * the page the form is on. @param page its address, with the parameters of `path`: '/areas/:area'
 */
export function leadToForm(app: FastifyInstance, access: Access, page: string, actions: string[]): void {
  for (const action of actions) app.get(`${page}/${action}`, may(access), (request, reply) => reply.redirect(filled(page, request), 303));
}

function filled(page: string, request: FastifyRequest): string {
  const values = request.params as Record<string, string>;
  return page.replace(/:(\w+)/g, (_, name: string) => encodeURIComponent(values[name] ?? ''));
}
