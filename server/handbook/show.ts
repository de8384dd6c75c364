import type { FastifyReply, FastifyRequest } from 'fastify';
import { holdOf } from '../notices/due.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { when } from '../web/when.js';
import { handbookFigures, withFigures } from './figures.js';
import { HANDBOOK, HANDBOOK_MINUTES, type HandbookPage, handbookPage } from './pages.js';
import { markRead, readPages } from './store.js';

/** The contents of the handbook, and each of its pages. */
export function handbookPages(services: Services) {
  const { db, config, settings, now } = services;

  function readBy(request: FastifyRequest): Map<string, number> {
    const { person } = request.visitor;
    return person ? readPages(db.q, person.id) : new Map();
  }

  function contents(request: FastifyRequest, reply: FastifyReply) {
    const read = readBy(request);
    const pages = HANDBOOK.map((one) => ({ ...link(one), lead: one.lead, minutes: one.minutes, read: read.has(one.slug) }));
    return page(request, reply, 'handbook/contents', {
      title: "Leaders' handbook",
      pages,
      minutes: HANDBOOK_MINUTES,
      of: pages.length,
      read: pages.filter((one) => one.read).length,
      next: pages.find((one) => !one.read) ?? null,
      marked: markedJust(request, read),
    });
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    const shown = asked(request);
    const at = HANDBOOK.indexOf(shown);
    const read = readBy(request);
    const readAt = read.get(shown.slug);
    const [previous, next] = [HANDBOOK[at - 1], HANDBOOK[at + 1]];
    return page(request, reply, 'handbook/page', {
      title: shown.title,
      lead: shown.lead,
      number: at + 1,
      of: HANDBOOK.length,
      minutes: shown.minutes,
      html: withFigures(shown.html, handbookFigures(settings(), holdOf(config, settings()))),
      href: link(shown).href,
      readAt: readAt === undefined ? null : when(readAt, homeZone(services), settings()),
      previous: previous ? link(previous) : null,
      next: next ? link(next) : null,
      marked: markedJust(request, read),
    });
  }

  /** The page before, where the visitor comes from marking it. */
  function markedJust(request: FastifyRequest, read: Map<string, number>): string | null {
    const from = handbookPage(line(request.query as Typed, 'read'));
    return from && read.has(from.slug) ? from.title : null;
  }

  function read(request: FastifyRequest, reply: FastifyReply) {
    const shown = asked(request);
    const { id } = signedInPerson(request);
    db.write((tx) => markRead(tx, id, shown.slug, now()));
    const next = HANDBOOK[HANDBOOK.indexOf(shown) + 1];
    return reply.redirect(`${next ? link(next).href : '/handbook'}?read=${shown.slug}`, 303);
  }

  return { contents, one, read };
}

function link({ slug, title }: HandbookPage): { href: string; title: string } {
  return { href: `/handbook/${slug}`, title };
}

function asked(request: FastifyRequest): HandbookPage {
  const { page: slug } = request.params as { page: string };
  const shown = handbookPage(slug);
  if (!shown) throw Problem.notFound('The handbook has no such page.', [{ href: '/handbook', label: 'See what is in the handbook' }]);
  return shown;
}
