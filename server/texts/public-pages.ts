import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { versionAsked } from './edit-pages.js';
import { KINDS, type TextKind } from './kinds.js';
import { toHtml } from './markdown.js';
import { publishedInForce, type TextVersion } from './store.js';

/** Pages on which anyone reads a text: the version in force, and, as evidence of what was signed, any other. */
export function publicPages(services: Services) {
  const { db, settings } = services;

  function show(request: FastifyRequest, reply: FastifyReply, kind: TextKind, text: TextVersion) {
    const zone = homeZone(services);
    const at = (ms: number) => when(ms, zone, settings());
    const { title, path } = KINDS[kind];
    const isOld = text.until !== null;
    return page(request, reply, 'texts/page', {
      title: isOld ? `${title}, version ${text.version}` : title,
      noindex: isOld,
      version: text.version,
      since: at(text.createdAt),
      until: text.until === null ? null : at(text.until),
      path,
      sha256: kind === 'waiver' ? text.sha256 : null,
      html: toHtml(text.body),
    });
  }

  return {
    inForce: (kind: TextKind) => (request: FastifyRequest, reply: FastifyReply) => show(request, reply, kind, publishedInForce(db.q, kind)),
    version: (kind: TextKind) => (request: FastifyRequest, reply: FastifyReply) =>
      show(request, reply, kind, versionAsked(services, request, kind, { href: `/${kind}`, label: 'See the version in force' })),
  };
}
