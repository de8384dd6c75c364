import { timingSafeEqual } from 'node:crypto';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { Problem } from './errors.js';

const SAFE = new Set(['GET', 'HEAD', 'OPTIONS']);

/** Refuses what another site made a browser send: first by the browser's own word, then by the token in the form. */
export function guardForms(app: FastifyInstance, services: Services): void {
  const origin = new URL(services.config.baseUrl).origin;
  app.addHook('onRequest', (request, _reply, done) => {
    if (SAFE.has(request.method) || isMailed(request)) return done();
    const site = request.headers['sec-fetch-site'];
    const sent = request.headers.origin;
    // Pages whose address is a secret send no referrer, and so `Origin: null`; another site can't know where to post.
    const isOurs = sent === origin || (sent === 'null' && request.routeOptions.config.access === 'bearer');
    if (site === undefined ? isOurs : site === 'same-origin') return done();
    throw new Problem(403, {
      heading: 'That came from another site',
      sentence: 'Open the form on this site and send it from there.',
      links: [{ href: '/', label: 'See the coming walks' }],
    });
  });
  app.addHook('preValidation', (request, _reply, done) => {
    // A post without a body is an empty form.
    if (!SAFE.has(request.method)) request.body ??= {};
    if (SAFE.has(request.method) || isMailed(request) || !request.visitor.person) return done();
    const sent = (request.body as { csrf?: unknown } | null | undefined)?.csrf;
    if (typeof sent === 'string' && equal(sent, request.visitor.csrf)) return done();
    throw new Problem(403, {
      heading: 'This form is out of date',
      sentence: 'You have signed in or out since it was opened. Go back, load the page again, and send it once more.',
      links: [{ href: '/', label: 'See the coming walks' }],
    });
  });
}

/** A mail program sends no origin and no token. Its secret is the address, which another site can't know. */
function isMailed(request: FastifyRequest): boolean {
  return request.routeOptions.config.access === 'mailed';
}

function equal(a: string, b: string): boolean {
  const left = Buffer.from(a);
  const right = Buffer.from(b);
  return left.length === right.length && timingSafeEqual(left, right);
}
