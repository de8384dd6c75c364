import { promisify } from 'node:util';
import { gzip } from 'node:zlib';
import helmet from '@fastify/helmet';
import type { FastifyInstance } from 'fastify';
import type { Config } from '../config.js';

const WORTH_SQUEEZING_BYTES = 1024;
const squeeze = promisify(gzip);

/** Headers every answer carries. Nothing inline, nothing from another host. */
export async function setHeaders(app: FastifyInstance, config: Config): Promise<void> {
  const https = config.baseUrl.startsWith('https:');
  await app.register(helmet, {
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
    referrerPolicy: { policy: 'no-referrer' },
    strictTransportSecurity: https ? { maxAge: 31_536_000 } : false,
    crossOriginEmbedderPolicy: false,
    xFrameOptions: { action: 'deny' },
  });
  app.addHook('onSend', async (request, reply, payload) => {
    const type = String(reply.getHeader('content-type') ?? '');
    if (!/^(text|application\/(json|atom))/.test(type) || reply.hasHeader('content-encoding')) return payload;
    if (typeof payload !== 'string' || payload.length < WORTH_SQUEEZING_BYTES) return payload;
    reply.header('Vary', 'Accept-Encoding');
    if (!/\bgzip\b/.test(String(request.headers['accept-encoding'] ?? ''))) return payload;
    reply.header('Content-Encoding', 'gzip').removeHeader('content-length');
    return squeeze(payload);
  });
}
