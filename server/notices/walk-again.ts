import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { led } from '../walks/led-request.js';
import { Problem } from '../web/errors.js';
import { tryAgainOn } from './again.js';

/** A walk's leader gives one of its failed notices another try. */
export function walkAgain(services: Services) {
  const { db, config, now, settings } = services;
  return function again(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const id = Number((request.params as { notice: string }).notice);
    const found = db.write((tx) => tryAgainOn(tx, { now: now(), settings: settings(), config }, walk.id, id));
    if (!found) {
      const sentence = 'This walk has no such mail. One that was overtaken before it went is taken back.';
      throw Problem.notFound(sentence, [{ href: `/lead/walks/${walk.id}`, label: 'Back to the walk' }]);
    }
    services.mailOwed();
    return reply.redirect(`/lead/walks/${walk.id}`, 303);
  };
}
