import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { Problem } from '../web/errors.js';
import { page } from '../web/page.js';
import { setMails, wantsMails } from './change-store.js';
import { leaderOfToken } from './monthly-store.js';

/** The address in the monthly mail's header that turns it off (RFC 8058): opened it asks, posted to it is done, without signing in. */
export function mailsOffPages(services: Services) {
  const { db, now } = services;

  function leaderOf(request: FastifyRequest): number {
    const personId = leaderOfToken(db.q, (request.params as { token: string }).token);
    if (personId === undefined) throw Problem.notFound('This address turns nothing off. It may have been cut off or mistyped.');
    return personId;
  }

  function ask(request: FastifyRequest, reply: FastifyReply): FastifyReply {
    return show(request, reply, leaderOf(request));
  }

  /** Answered at once: a mail program follows no redirect. */
  function turnOff(request: FastifyRequest, reply: FastifyReply): FastifyReply {
    const personId = leaderOf(request);
    db.write((tx) => setMails(tx, personId, false, { by: null, now: now() }));
    return show(request, reply, personId);
  }

  function show(request: FastifyRequest, reply: FastifyReply, personId: number): FastifyReply {
    const isOn = wantsMails(db.q, personId);
    return page(request, reply, 'commitment/mails-off', { title: 'The monthly mail', narrow: true, noindex: true, isOn });
  }

  return { ask, turnOff };
}
