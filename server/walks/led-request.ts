import type { FastifyRequest } from 'fastify';
import { Problem } from '../web/errors.js';
import type { LedWalk, WalkRow } from './ledby.js';

/** The walk of a route that declares walkLeader. */
export function led(request: FastifyRequest): LedWalk {
  if (!request.led) throw new Error('the route does not declare walkLeader');
  return request.led;
}

/** The person of a route that declares that someone is signed in. */
export function signedIn(request: FastifyRequest): number {
  if (!request.visitor.person) throw new Error('the route does not declare that someone is signed in');
  return request.visitor.person.id;
}

/** The same with whether they coordinate: a coordinator may change every walk. */
export function editorOf(request: FastifyRequest): { id: number; coordinator: boolean } {
  return { id: signedIn(request), coordinator: request.visitor.person?.coordinator === true };
}

/** Lets a draft or a posted walk through; a page says why not otherwise. @throws Problem */
export function editable(walk: WalkRow): void {
  if (walk.state === 'posted' || walk.state === 'draft') return;
  throw new Problem(409, {
    heading: walk.state === 'cancelled' ? 'This walk is cancelled' : 'This walk is closed',
    sentence: 'It can no longer be changed. You can copy it to another date.',
    links: [
      { href: `/lead/walks/${walk.id}`, label: 'Back to the walk' },
      { href: `/lead/walks/new?copy=${walk.id}`, label: 'Copy it to another date' },
    ],
  });
}
