import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { signedIn } from '../walks/led-request.js';
import { areaOf, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { hazardWords } from './hazard-words.js';
import { hazardById, hazardGone } from './hazards-store.js';

/** One hazard, and the button that says it is gone: any leader who was there may. */
export function hazardPages(services: Services) {
  const { db, settings, now } = services;

  function show(request: FastifyRequest, reply: FastifyReply) {
    const hazard = asked(request);
    const walk = walkById(db.q, hazard.walkId);
    const { zone, name } = areaOf(db.q, hazard.areaId);
    return page(request, reply, 'lead/hazard', {
      title: hazard.goneAt === null ? 'In the way on a route' : 'It is gone',
      narrow: true,
      hazard: hazardWords(hazard, zone, settings()),
      area: name,
      goneAt: hazard.goneAt === null ? null : when(hazard.goneAt, zone, settings()),
      walk: walk ? { href: `/walks/${walk.id}`, title: walkTitle(walk, settings().units) } : null,
    });
  }

  function gone(request: FastifyRequest, reply: FastifyReply) {
    const { id } = asked(request);
    if (line(request.body as Typed, 'intent') !== 'gone') return reply.redirect(`/lead/hazards/${id}`, 303);
    db.write((tx) => hazardGone(tx, id, { by: signedIn(request), now: now() }));
    return reply.redirect(`/lead/hazards/${id}`, 303);
  }

  function asked(request: FastifyRequest) {
    const hazard = hazardById(db.q, Number((request.params as { hazard?: string }).hazard));
    if (!hazard) throw Problem.notFound('There is no such note about a route.');
    return hazard;
  }

  return { show, gone };
}
