import type { FastifyRequest } from 'fastify';
import type { Person } from '../web/visitor.js';

/** Whoever is signed in, on a route that lets nobody else in. @throws where the route does */
export function signedInPerson(request: FastifyRequest): Person {
  if (!request.visitor.person) throw new Error('the route let in somebody who is not signed in');
  return request.visitor.person;
}
