import type { FastifyInstance, FastifyRequest } from 'fastify';
import { formerLeaderWords } from '../commitment/former.js';
import type { Services } from '../services.js';
import { isInstalled } from '../settings/store.js';
import { type LedWalk, ledWalk } from '../walks/ledby.js';
import { Problem } from './errors.js';
import { answersJson } from './json.js';
import type { Visitor } from './visitor.js';

/**
 * Who may come to a route. Declared on each route, checked here and nowhere else.
 * - anyone: no sign-in needed
 * - bearer: the address itself is the secret; the handler looks it up
 * - mailed: the same, and mail programs post to it on their own (RFC 8058): nothing is asked of where the form came from
 * - signedIn, leader (approved), coordinator
 * - leading: an approved leader, or a coordinator
 * - walkLeader: leader or co-leader of `:walk`, or a coordinator
 * - firstRun: only until the group exists
 * - operator: answers before there is a group, too
 */
export type Access =
  | 'anyone'
  | 'bearer'
  | 'mailed'
  | 'signedIn'
  | 'leader'
  | 'coordinator'
  | 'leading'
  | 'walkLeader'
  | 'firstRun'
  | 'operator';

declare module 'fastify' {
  interface FastifyContextConfig {
    access?: Access;
    /** Requests a minute from one address, where the route wants fewer than the general limit. */
    perMinute?: number;
  }
  interface FastifyInstance {
    /** Every route as "METHOD /pattern": the test of who may come where walks it. */
    routeTable: string[];
  }
  interface FastifyRequest {
    visitor: Visitor;
    /** The walk of a walkLeader route. */
    led: LedWalk | null;
  }
}

/** A route's declaration: `app.get('/lead', may('leader'), leadPage)`. */
export function may(access: Access, perMinute?: number): { config: { access: Access; perMinute?: number } } {
  return { config: perMinute === undefined ? { access } : { access, perMinute } };
}

/** Refuses to start a route without a declaration, and checks each request against its route's. */
export function guardRoutes(app: FastifyInstance, services: Services): void {
  app.decorateRequest('led', null);
  const table: string[] = [];
  app.decorate('routeTable', table);
  app.addHook('onRoute', (route) => {
    if (!route.config?.access) throw new Error(`${String(route.method)} ${route.url} does not say who may come`);
    table.push(...[route.method].flat().map((method) => `${method} ${route.url}`));
  });
  app.addHook('onRequest', (request, reply, done) => {
    const access = request.routeOptions.config.access;
    if (!access) return done(); // no such route: the not-found page answers
    const elsewhere = check(access, request, services);
    if (elsewhere === null) return done();
    if (answersJson(request))
      return void reply.code(401).send({ sentence: 'You are signed out. Sign in again; what is on this phone is kept.' });
    reply.redirect(elsewhere, 303);
  });
}

/** Null where the visitor may go on, or the address they are sent to instead. @throws Problem where they may not */
function check(access: Access, request: FastifyRequest, services: Services): string | null {
  if (access === 'operator') return null;
  const installed = isInstalled(services.settings());
  if (access === 'firstRun') {
    if (installed) throw Problem.notFound('This group is set up already.');
    return null;
  }
  if (!installed) return '/first-run';
  if (access === 'anyone' || access === 'bearer' || access === 'mailed') return null;
  const { person } = request.visitor;
  if (!person) return `/sign-in${request.method === 'GET' ? `?next=${encodeURIComponent(request.url)}` : ''}`;
  if (access === 'coordinator' && !person.coordinator) throw Problem.forbidden('This page is for coordinators.');
  if (access === 'leader' && !person.leader)
    throw Problem.forbidden(
      `This page is for walk leaders. ${formerLeaderWords(services.db.q, person.id, services.settings().locale)}`.trim(),
      [
        { href: '/lead/join', label: 'How to become one' },
        { href: '/', label: 'See the coming walks' },
      ],
    );
  if (access === 'leading' && !person.leader && !person.coordinator)
    throw Problem.forbidden('This page is for walk leaders and coordinators.');
  if (access === 'walkLeader') request.led = ledWalk(services.db.q, Number((request.params as { walk?: string }).walk), person);
  return null;
}
