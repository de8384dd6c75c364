import type { FastifyInstance } from 'fastify';
import { may } from './access.js';
import type { Assets } from './site.js';

/** Style, typeface and icon. Their addresses change with their content, so a browser asks once. */
export function assetRoutes(app: FastifyInstance, assets: Assets): void {
  for (const { href, type, body } of [assets.css, assets.font, assets.icon]) {
    app.get(href, may('operator'), (_request, reply) => {
      // Text goes as a string, so that it can be squeezed on its way out.
      const text = type.startsWith('text/') || type.endsWith('xml');
      return reply
        .type(type)
        .header('Cache-Control', 'public, max-age=31536000, immutable')
        .send(text ? body.toString('utf8') : body);
    });
  }
}
