import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { Problem } from '../web/errors.js';
import { page } from '../web/page.js';
import { spacedCode } from './code.js';
import { askCookie, sessionCookie } from './cookies.js';
import { linkByToken, type SignInLink } from './link-store.js';
import { signInCode } from './links.js';
import { homeOf, isBound, type LinkFault, linkFault, signInWith, welcome } from './signin.js';

const MINUTE_MS = 60_000;

/** What a mailed link opens. It changes nothing: mail scanners open links, too. */
export function linkPage(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const link = goodLink(services, request);
    reply.header('Cache-Control', 'no-store');
    if (!askedHere(services, request, link)) return codePage(services, request, reply, link);
    return page(request, reply, 'people/confirm', { title: 'Sign in', narrow: true, noindex: true, email: link.email });
  };
}

/** The button on that page. */
export function useLink(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const link = goodLink(services, request);
    reply.header('Cache-Control', 'no-store');
    if (!askedHere(services, request, link)) return codePage(services, request, reply.code(403), link);
    const entered = services.db.write((tx) => signInWith(tx, services, link, request.cookies[sessionCookie(services.config)]));
    if (entered === 'disabled') throw disabled();
    if (entered === null) throw linkProblem('used');
    return welcome(request, reply, services, entered, link.next);
  };
}

/**
 * The second press of a double click finds the link spent and the browser signed in by the first: it goes on to the same place. Runs
 * before the form's token is looked at, since the page was made for a visitor who had none.
 */
export function goOnIfSignedIn(services: Services) {
  return async (request: FastifyRequest, reply: FastifyReply): Promise<FastifyReply | undefined> => {
    const { person } = request.visitor;
    const link = person && linkByToken(services.db.q, tokenOf(request));
    if (!link || link.usedAt === null || link.email !== person.email) return undefined;
    return reply.redirect(link.next ?? homeOf(services, person), 303);
  };
}

/** @throws Problem that says what to do next, where the link is spent, expired or unknown */
function goodLink(services: Services, request: FastifyRequest): SignInLink {
  const link = linkByToken(services.db.q, tokenOf(request));
  const fault = linkFault(link, services.now());
  if (!link || fault) throw linkProblem(fault ?? 'unknown');
  return link;
}

function tokenOf(request: FastifyRequest): string {
  return (request.params as { token: string }).token;
}

function askedHere(services: Services, request: FastifyRequest, link: SignInLink): boolean {
  return isBound(link, request.cookies[askCookie(services.config)]);
}

/** In any browser but the one that asked: the code to type there. Nobody is signed in here. */
function codePage(services: Services, request: FastifyRequest, reply: FastifyReply, link: SignInLink): FastifyReply {
  const minutes = Math.max(1, Math.round((services.now() - link.createdAt) / MINUTE_MS));
  return page(request, reply, 'people/code', {
    title: 'Your sign-in code',
    narrow: true,
    noindex: true,
    email: link.email,
    code: spacedCode(signInCode(services.sealer, link.id)),
    asked: minutes === 1 ? 'a minute ago' : `${minutes} minutes ago`,
  });
}

const ASK_AGAIN = { href: '/sign-in', label: 'Ask for a new sign-in mail' };
const GO_ON = { href: '/me', label: 'See whether you are signed in already' };

function linkProblem(fault: LinkFault): Problem {
  if (fault === 'used') {
    const sentence = 'Each link signs in once. If you pressed its button twice, you are most likely signed in.';
    return new Problem(410, { heading: 'This link has been used', sentence, links: [GO_ON, ASK_AGAIN] });
  }
  if (fault === 'expired') {
    const sentence = 'A sign-in link works for ten minutes. Ask for a new one; it comes by mail at once.';
    return new Problem(410, { heading: 'This link is too old', sentence, links: [ASK_AGAIN] });
  }
  const sentence = 'It may have been cut short when it was copied. Open it from the mail again, or ask for a new one.';
  return new Problem(404, { heading: 'We do not know this link', sentence, links: [ASK_AGAIN] });
}

export function disabled(): Problem {
  return Problem.forbidden('This address can no longer sign in. If you think that is a mistake, talk to your coordinator.');
}
