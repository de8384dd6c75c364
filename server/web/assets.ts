import type { FastifyInstance, FastifyReply } from 'fastify';
import { may } from './access.js';
import type { Asset, Assets } from './site.js';

/** Style, typeface, icon and scripts. Their addresses change with their content, so a browser asks once; the worker's stays, and is asked for each time. */
export function assetRoutes(app: FastifyInstance, assets: Assets): void {
  for (const asset of [assets.css, assets.font, assets.icon, assets.roll, assets.signOut])
    app.get(asset.href, may('operator'), (_request, reply) => send(reply, asset, 'public, max-age=31536000, immutable'));
  app.get(assets.rollWorker.href, may('operator'), (_request, reply) => send(reply, assets.rollWorker, 'no-cache'));
}

function send(reply: FastifyReply, { type, body }: Asset, keep: string): FastifyReply {
  // Text goes as a string, so that it can be squeezed on its way out.
  const text = type.startsWith('text/') || type.endsWith('xml');
  return reply
    .type(type)
    .header('Cache-Control', keep)
    .send(text ? body().toString('utf8') : body());
}
