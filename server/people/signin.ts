import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Tx } from '../db/open.js';
import { hashed } from '../db/seal.js';
import type { Services } from '../services.js';
import { askCookie, cookieOptions, sessionCookie, sessionCookieOptions } from './cookies.js';
import { type SignInLink, spendLink } from './link-store.js';
import { endSession, startSession } from './sessions.js';
import { isLeader, type PersonRow, personAt } from './store.js';

/** Why a link can't be used (any more). */
export type LinkFault = 'unknown' | 'used' | 'expired';

/** What keeps this link from signing anyone in at `now`; null where nothing does. It works up to the last millisecond before its expiry. */
export function linkFault(link: SignInLink | undefined, now: number): LinkFault | null {
  if (!link) return 'unknown';
  if (link.usedAt !== null) return 'used';
  return now < link.expiresAt ? null : 'expired';
}

/** Whether this is the browser that asked for the link. Links the operator printed are for any browser. */
export function isBound(link: SignInLink, askedWith: string | undefined): boolean {
  return link.browserHash === null || (askedWith !== undefined && hashed(askedWith) === link.browserHash);
}

/** Someone let in, with the token for their cookie. */
export interface SignedIn {
  token: string;
  person: PersonRow;
}

/**
 * Spends the link and starts a session with a new id; the session this browser came with ends, so that nobody can be handed one that
 * is known beforehand. Null where the link was spent meanwhile, 'disabled' where this person may not sign in.
 */
export function signInWith(tx: Tx, services: Services, link: SignInLink, oldToken: string | undefined): SignedIn | 'disabled' | null {
  const now = services.now();
  if (!spendLink(tx, link, now)) return null;
  const person = personAt(tx, link.email, now);
  if (person.disabledAt !== null) return 'disabled';
  endSession(tx, oldToken);
  return { token: startSession(tx, services, person.id), person };
}

/** Hands the browser its session and sends it on: to where it was going, or to the work of the person's role. */
export function welcome(
  request: FastifyRequest,
  reply: FastifyReply,
  services: Services,
  entered: SignedIn,
  next: string | null,
): FastifyReply {
  const { config } = services;
  reply.setCookie(sessionCookie(config), entered.token, sessionCookieOptions(config));
  if (request.cookies[askCookie(config)] !== undefined) reply.clearCookie(askCookie(config), cookieOptions(config));
  return reply.redirect(next ?? homeOf(services, entered.person), 303);
}

/** Where a person's own work is. */
export function homeOf(services: Services, person: Pick<PersonRow, 'id' | 'coordinator'>): string {
  if (person.coordinator) return '/coordinate';
  return isLeader(services.db.q, person.id) ? '/lead' : '/';
}
