import type { FastifyInstance } from 'fastify';
import { queueAge } from '../notices/store.js';
import type { Services } from '../services.js';
import { may } from './access.js';

/** /health: the process answers. /ready: the database answers too, and how mail is faring. */
export function operatorRoutes(app: FastifyInstance, services: Services): void {
  app.get('/health', may('operator'), () => ({ ok: true }));
  app.get('/ready', may('operator'), () => {
    const queue = queueAge(services.db.q, services.now());
    return { ok: true, mail: queue };
  });
}
