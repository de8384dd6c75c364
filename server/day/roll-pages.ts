import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { led } from '../walks/led-request.js';
import { isJson } from '../web/json.js';
import { page } from '../web/page.js';
import { rollState } from './roll-state.js';
import { keeper, syncRoll } from './sync.js';

/** The roll of a walk: its page, and what is posted to it. */
export function rollPages(services: Services) {
  function roll(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const state = rollState(services, walk, request);
    return page(request, reply, 'lead/roll', { title: `Roll: ${walk.routeName}`, noindex: true, state });
  }

  function postRoll(request: FastifyRequest, reply: FastifyReply) {
    if (isJson(request)) return syncRoll(services, request, reply);
    const { walk } = keeper(request);
    return reply.redirect(`/lead/walks/${walk.id}/roll`, 303);
  }

  return { roll, postRoll };
}
