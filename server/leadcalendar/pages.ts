import type { FastifyReply, FastifyRequest } from 'fastify';
import { hashed } from '../db/seal.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { leaderCalendar } from './feed.js';
import { dropFeed, feedOf, leaderOfFeed, makeFeed } from './store.js';

const PAGE = '/lead/calendar';

/** A leader's own walks in their own calendar, at an address that is a secret. */
export function leadCalendarPages(services: Services) {
  const { db, config, sealer, now, secret } = services;

  function about(request: FastifyRequest, reply: FastifyReply) {
    const feed = feedOf(db.q, sealer, signedInPerson(request).id);
    return page(request, reply, 'leadcalendar/page', {
      title: 'Your walks in your calendar',
      narrow: true,
      noindex: true,
      address: feed ? `${config.baseUrl}${PAGE}/${feed.token}.ics` : null,
      of: feed?.madeAt ?? '',
    });
  }

  /** A form says which address it replaces: sent twice, or from an old tab, it takes none away that was made since. */
  function make(request: FastifyRequest, reply: FastifyReply) {
    const { id } = signedInPerson(request);
    const of = line(request.body as Typed, 'of');
    db.write((tx) => {
      if (String(feedOf(tx, sealer, id)?.madeAt ?? '') === of) makeFeed(tx, sealer, id, { salt: secret(), at: now() });
    });
    return reply.redirect(PAGE, 303);
  }

  function off(request: FastifyRequest, reply: FastifyReply) {
    db.write((tx) => dropFeed(tx, signedInPerson(request).id));
    return reply.redirect(PAGE, 303);
  }

  function feed(request: FastifyRequest, reply: FastifyReply) {
    const leader = leaderOfFeed(db.q, (request.params as { token: string }).token);
    if (!leader) throw Problem.notFound('There is no calendar at this address, or none any more. A leader finds their own on their page.');
    const text = leaderCalendar(services, leader);
    const tag = `W/"${hashed(text).slice(0, 32)}"`;
    // A program may keep what it fetched, for itself alone, and asks each time whether it still holds.
    reply.headers({ 'Cache-Control': 'private, no-cache', ETag: tag });
    if (isKnown(request.headers['if-none-match'], tag)) return reply.code(304).send();
    return reply.type('text/calendar; charset=utf-8').header('Content-Disposition', 'inline; filename="walks.ics"').send(text);
  }

  return { about, make, off, feed };
}

/** Whether an If-None-Match names a version (RFC 9110, 13.1.2: weak or strong is the same here). */
function isKnown(header: string | undefined, tag: string): boolean {
  const bare = (one: string) => one.trim().replace(/^W\//, '');
  return header !== undefined && (header.trim() === '*' || header.split(',').some((one) => bare(one) === bare(tag)));
}
