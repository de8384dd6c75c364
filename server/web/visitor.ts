import type { FastifyInstance } from 'fastify';
import { sessionCookie } from '../people/cookies.js';
import { personOfSession } from '../people/sessions.js';
import type { Services } from '../services.js';

/** Someone signed in, as they stand at this request: roles are read anew each time, never kept in the session. */
export interface Person {
  id: number;
  name: string;
  email: string;
  coordinator: boolean;
  /** An approved leader. */
  leader: boolean;
}

export interface Visitor {
  person: Person | null;
  /** Goes into every form of a signed-in visitor; bound to the session. Empty for a visitor with none. */
  csrf: string;
}

/** Finds out who asks, before anything else looks at the request. */
export function knowVisitors(app: FastifyInstance, services: Services): void {
  const nobody: Visitor = { person: null, csrf: '' };
  app.decorateRequest('visitor');
  const cookie = sessionCookie(services.config);
  app.addHook('onRequest', (request, _reply, done) => {
    const token = request.cookies[cookie];
    request.visitor = (token && personOfSession(services, token)) || nobody;
    done();
  });
}
