import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Services } from '../services.js';
import { answersJson } from './json.js';

/** What a visitor can be told: a heading, a sentence, and where to go from here. */
export interface ProblemPage {
  heading: string;
  sentence: string;
  links: { href: string; label: string }[];
}

/** A refusal that is the visitor's to act on. Everything else that is thrown is ours, and answers 500. */
export class Problem extends Error {
  readonly status: number;
  readonly page: ProblemPage;

  constructor(status: number, page: ProblemPage) {
    super(page.sentence);
    this.status = status;
    this.page = page;
  }

  static notFound(sentence: string, links: ProblemPage['links'] = [WALKS]): Problem {
    return new Problem(404, { heading: 'There is nothing here', sentence, links });
  }

  static forbidden(sentence: string, links: ProblemPage['links'] = [WALKS]): Problem {
    return new Problem(403, { heading: 'This page is not for you', sentence, links });
  }
}

const WALKS = { href: '/', label: 'See the coming walks' };

const SENTENCES: Record<number, [string, string]> = {
  400: ['That could not be read', 'Go back and try again; if you typed the address, check it.'],
  404: ['There is nothing here', 'The address may be mistyped, or what was here has gone.'],
  413: ['That is too large', 'What was sent is larger than Waymeet takes. Shorten it and send it again.'],
  415: ['That kind of content is not taken here', 'Use the forms on the pages.'],
  429: ['Too many tries', 'Wait a minute, then try again. Nothing was changed.'],
};

/** Pages for every refusal and fault. A fault of ours is logged with an id that the page shows; its message is never shown. */
export function answerErrors(
  app: FastifyInstance,
  services: Services,
  show: (reply: FastifyReply, page: ProblemPage) => FastifyReply,
): void {
  app.setNotFoundHandler((request, reply) => {
    const [heading, sentence] = SENTENCES[404] as [string, string];
    request.log.debug({ method: request.method }, 'no such address');
    return show(reply.code(404), { heading, sentence, links: [WALKS] });
  });
  app.setErrorHandler((error: Error & { statusCode?: number }, request, reply) => {
    if (error instanceof Problem && answersJson(request)) return reply.code(error.status).send({ sentence: error.page.sentence });
    if (error instanceof Problem) return show(reply.code(error.status), error.page);
    const status = error.statusCode ?? 500;
    if (status < 500) {
      const [heading, sentence] = SENTENCES[status] ?? (SENTENCES[400] as [string, string]);
      if (answersJson(request)) return reply.code(status).send({ sentence });
      return show(reply.code(status), { heading, sentence, links: [WALKS] });
    }
    const id = services.secret().slice(0, 8);
    request.log.error({ err: error, errorId: id }, 'our fault');
    return show(reply.code(500), {
      heading: 'Something went wrong on our side',
      sentence: `Nothing you sent was half-kept. Try again; if it happens again, tell whoever runs this service the number ${id}.`,
      links: [WALKS],
    });
  });
}
