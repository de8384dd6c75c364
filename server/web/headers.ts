import { IncomingMessage, ServerResponse } from 'node:http';
import { Socket } from 'node:net';
import { gzip } from 'node:zlib';
import type { FastifyInstance } from 'fastify';
import helmet from 'helmet';
import type { Config } from '../config.js';

const WORTH_SQUEEZING_BYTES = 1024;

/** Sets the headers that every answer carries, and squeezes text on its way out. */
export function setHeaders(app: FastifyInstance, config: Config): void {
  const headers = safetyHeaders(config.baseUrl.startsWith('https:'));
  app.addHook('onRequest', (request, reply, done) => {
    reply.headers(headers);
    // The address of such a page is a secret: it is kept by nobody and told to nobody.
    const { access } = request.routeOptions.config;
    if (access === 'bearer' || access === 'mailed') reply.headers({ 'Cache-Control': 'no-store', 'Referrer-Policy': 'no-referrer' });
    done();
  });
  app.addHook('onSend', (request, reply, payload, done) => {
    if (!isLongText(reply.getHeader('content-type'), payload) || reply.hasHeader('content-encoding')) return done(null, payload);
    reply.header('Vary', 'Accept-Encoding');
    if (!takesGzip(request.headers['accept-encoding'])) return done(null, payload);
    reply.header('Content-Encoding', 'gzip').removeHeader('content-length');
    gzip(payload, (error, squeezed) => (error ? done(error) : done(null, squeezed)));
  });
}

/** Nothing inline, nothing from another host. They are the same for every answer, so helmet is asked once, at the start. */
function safetyHeaders(https: boolean): Record<string, string> {
  const protect = helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        fontSrc: ["'self'"],
        imgSrc: ["'self'"],
        connectSrc: ["'self'"],
        manifestSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    // Not no-referrer: with it browsers send `Origin: null` with forms, and those of plain http sites say nothing better.
    referrerPolicy: { policy: 'same-origin' },
    strictTransportSecurity: https ? { maxAge: 31_536_000 } : false,
    xFrameOptions: { action: 'deny' },
    // For browsers nobody has any more.
    xDownloadOptions: false,
    xPermittedCrossDomainPolicies: false,
    xXssProtection: false,
    xDnsPrefetchControl: false,
  });
  const request = new IncomingMessage(new Socket());
  const response = new ServerResponse(request);
  protect(request, response, () => {});
  return Object.fromEntries(Object.entries(response.getHeaders()).map(([name, value]) => [name, String(value)]));
}

function isLongText(type: unknown, payload: unknown): payload is string {
  return (
    typeof payload === 'string' &&
    payload.length >= WORTH_SQUEEZING_BYTES &&
    /^(text|image\/svg|application\/(json|atom))/.test(String(type))
  );
}

/** Whether a browser takes a squeezed answer. */
export function takesGzip(accepted: string | string[] | undefined): boolean {
  return /\bgzip\b/.test(String(accepted ?? ''));
}
